import { DOCUMENT_KINDS, readDocument } from "bellmouth/document";
import fc from "fast-check";
import { afterAll, describe, expect, it } from "vitest";
import { FULL_CASES, fuzzCases } from "../support/fuzz/cases.js";
import { DOCUMENTS, openTable, TREES } from "../support/fuzz/documents.js";
import { mutateText, mutateTree, mutations } from "../support/fuzz/mutations.js";
import { requireFinite } from "../support/fuzz/require-finite.js";
import { requireQuiet } from "../support/fuzz/require-quiet.js";
import { startWatch } from "../support/fuzz/watch.js";

// Documents that were valid until something happened to them: read whole, or refused with faults that have a place.

// Larger documents cost more, so fewer cases go to them.
const which = fc.oneof(
  { weight: 5, arbitrary: fc.integer({ min: 0, max: 3 }) },
  { weight: 2, arbitrary: fc.integer({ min: 4, max: DOCUMENTS.length - 2 }) },
  { weight: 1, arbitrary: fc.constant(DOCUMENTS.length - 1) },
);

/** Reads a text; what is read must be plain and finite, what is not must have said so. Returns whether it was read. */
function readOrRefused(text: string, file: string): boolean {
  const result = readDocument(DOCUMENT_KINDS, text, { file, open: openTable() });
  if (!result.ok) {
    if (result.faults.length === 0) throw new Error("refused without a fault");
    for (const fault of result.faults) {
      if (fault.name !== "BellmouthError") throw fault;
      // Thousands of characters of a user's text do not belong in a message.
      if (fault.message.length > 2000) throw new Error(`a message of ${fault.message.length} characters`);
      requireQuiet(fault.message);
    }
    return false;
  }
  // Missing samples of a log are NaN by the house's rules.
  requireFinite(result.document, (path) =>
    /^(?:(?:scenarios|runs)\[\d+\]\.|(?:signal|airflow)\.(?:time|values)\[)/u.test(path),
  );
  return true;
}

describe("documents with pieces replaced, swapped, doubled and torn out", () => {
  const watch = startWatch();
  afterAll(watch.end);

  it("the documents are valid before that, and there is one of every kind", () => {
    const kinds = new Set(DOCUMENTS.map((text) => /^bellmouth: (\w+)/u.exec(text)?.[1]));
    expect([...kinds].sort()).toEqual(DOCUMENT_KINDS.map((kind) => kind.name).sort());
    for (const text of [...DOCUMENTS, ...TREES.map((tree) => JSON.stringify(tree))]) {
      const result = readDocument(DOCUMENT_KINDS, text, { file: "a.yaml", open: openTable() });
      expect(result.ok ? [] : result.faults.map((fault) => fault.message)).toEqual([]);
      expect(readOrRefused(text, "a.yaml")).toBe(true);
    }
  });

  it("YAML: a document or faults", () => {
    const before = watch.cases();
    const cases = fuzzCases("yaml");
    let read = 0;
    fc.assert(
      fc.property(which, mutations(), (i, changes) => {
        const text = mutateText(DOCUMENTS[i] as string, changes);
        if (watch.run(text, () => readOrRefused(text, "a.yaml")) === true) read++;
      }),
      cases,
    );
    expect(watch.cases() - before).toBe(cases.numRuns);
    // Neither all nor none: the changes are small enough to leave some documents valid.
    expect(read).toBeGreaterThan(cases.numRuns / 50);
    expect(read).toBeLessThan(cases.numRuns / 2);
  });

  it("JSON: a document or faults", () => {
    const before = watch.cases();
    const cases = fuzzCases("json");
    let read = 0;
    fc.assert(
      fc.property(which, mutations(2), fc.nat(9), (i, changes, torn) => {
        const whole = JSON.stringify(
          mutateTree(TREES[i] as Record<string, unknown>, changes),
          null,
          torn % 2,
        );
        // Most stay JSON; some lose pieces of their text.
        const text = torn < 7 ? whole : mutateText(whole, changes, /[:,]/u);
        // JSON is YAML too.
        const file = torn % 3 === 0 ? "a.yaml" : "a.json";
        if (watch.run(text, () => readOrRefused(text, file)) === true) read++;
      }),
      cases,
    );
    expect(watch.cases() - before).toBe(cases.numRuns);
    expect(read).toBeGreaterThan(cases.numRuns / 50);
    expect(read).toBeLessThan(cases.numRuns / 2);
  });
});

it("a full run of the fuzzing properties comes to 100,000 cases", () => {
  expect(Object.values(FULL_CASES).reduce((sum, cases) => sum + cases, 0)).toBe(100_000);
});
