import { decisionFiles, restrictionFiles, trialFiles } from "bellmouth/account";
import { type AnyDocument, DOCUMENT_KINDS, readDocument } from "bellmouth/document";
import { compareTrial, measureRestriction, weighDecision } from "bellmouth/stage";
import fc from "fast-check";
import { afterAll, describe, expect, it } from "vitest";
import { fuzzCases } from "../support/fuzz/cases.js";
import { checkCsv } from "../support/fuzz/check-files.js";
import { decisionText, openTable, restrictionText, TABLES, trialText } from "../support/fuzz/documents.js";
import { HOSTILE_TEXT } from "../support/fuzz/hostile.js";
import { bentNumbers, numberChanges } from "../support/fuzz/mutations.js";
import { requireFinite } from "../support/fuzz/require-finite.js";
import { startWatch } from "../support/fuzz/watch.js";

// Restrictions, trials and decisions from odd numbers: a result of finite numbers, or faults.

const bases = [
  [restrictionText, "readings.csv"],
  [trialText, "b1.csv"],
  [decisionText, "none.csv"],
] as const;

type File = { readonly name: string; readonly text: string };
function resultOf(document: AnyDocument): readonly [unknown, readonly File[]] {
  if (document.kind === "restriction") {
    const result = measureRestriction(document);
    return [result, restrictionFiles(result)];
  }
  if (document.kind === "trial") {
    const result = compareTrial(document);
    return [result, trialFiles(result)];
  }
  if (document.kind !== "decision") throw new Error(document.kind);
  const result = weighDecision(document);
  return [result, decisionFiles(result)];
}

describe("restrictions, trials and decisions of documents with odd numbers and names", () => {
  const watch = startWatch();
  afterAll(watch.end);

  it("results of finite numbers, or faults", () => {
    const cases = fuzzCases("intake");
    fc.assert(
      fc.property(
        fc.nat(bases.length - 1),
        numberChanges(2),
        numberChanges(3),
        fc.constantFrom("plain", ...HOSTILE_TEXT),
        (i, inDocument, inTable, name) => {
          const [start, file] = bases[i] as (typeof bases)[number];
          const text = bentNumbers(start, inDocument).replace(
            /^title: .*$/mu,
            () => `title: ${JSON.stringify(name)}`,
          );
          const table = bentNumbers(TABLES[file] ?? "", inTable);
          watch.run(`${text}\n${table}`, () => {
            const read = readDocument(DOCUMENT_KINDS, text, { open: openTable({ [file]: table }) });
            if (!read.ok) throw read.faults[0];
            const [result, files] = resultOf(read.document);
            requireFinite(result);
            for (const one of files) if (one.name.endsWith(".csv")) checkCsv(one, name);
          });
        },
      ),
      cases,
    );
    expect(watch.cases()).toBe(cases.numRuns);
    expect(watch.good()).toBeGreaterThan(cases.numRuns / 5);
  });
});
