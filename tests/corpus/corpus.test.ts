import { readFileSync, writeFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { accuracy } from "../support/accuracy.js";
import { fullFuzz } from "../support/fuzz/cases.js";
import { theReader } from "./adapter.js";
import type { Totals } from "./score.js";
import { type PartScore, scoreCorpus, scoreNotLogs, scoreTable } from "./score-all.js";

/**
 * The reader on the corpus. An ordinary run takes the named dialects, the cars' files and the first 20 crossings; `BELLMOUTH_FUZZ=full` takes
 * crossings up to number 10,000 for four minutes, prints how many that were, and does not hold yet: numbers 101, 102, 121 and 137 lose columns. `CORPUS_CROSSINGS=N` takes N of
 * them; with `CORPUS_FAULTS=FILE` every fault goes to that file.
 */
const CROSSINGS = Number(process.env["CORPUS_CROSSINGS"] ?? (fullFuzz ? 10_000 : 20));
const SECONDS = fullFuzz ? 240 : Number.POSITIVE_INFINITY;

const parts = scoreCorpus(theReader, CROSSINGS, SECONDS);
const notLogs = scoreNotLogs(theReader);
const faultsFile = process.env["CORPUS_FAULTS"];
if (faultsFile !== undefined) writeFileSync(faultsFile, JSON.stringify({ parts, notLogs }, null, 1));
console.log(`${scoreTable(parts)}\nno logs, right\t${notLogs.right}\n${notLogs.faults.join("\n")}`);

/** Scores of other times, as they were taken; see each file's own words. */
type Kept = { readonly [part: string]: { readonly [outcome: string]: number } };
const kept = (file: string): Kept => JSON.parse(readFileSync(new URL(file, import.meta.url), "utf8")) as Kept;
const BEFORE = kept("first-score.json");
const AT_FIRST = kept("second-score.json");

const wrongIn = (t: { readonly [outcome: string]: number } | Totals): number =>
  (t as Totals)["wrong value"] + (t as Totals).guessed;
/** "; 47 of 1333 by the reader before this one, 4 of 1333 by this one before it was tried on the corpus" */
const told = (part: string, count: (of: Totals) => number): string => {
  const of = (scores: Kept): string => {
    const one = scores[part] as unknown as Totals;
    return `${count(one)} of ${one.columns}`;
  };
  return `; ${of(BEFORE)} by the reader before this one, ${of(AT_FIRST)} by this one before it was tried on the corpus`;
};
const partOf = (name: string): PartScore => parts.find(({ part }) => part === name) as PartScore;

describe("the reader on the corpus", () => {
  it("never crashes", () => {
    for (const { part, first, answered } of parts) expect(first.crash + answered.crash, part).toBe(0);
    expect(notLogs.faults.filter((f) => f.includes("crash"))).toEqual([]);
  });

  it.each(["named dialects", "crossings"])(
    "R9: %s: nothing wrong, guessed, dropped or asked again; at most 1 question in 20 columns is needless",
    (part) => {
      const { first, answered, faults } = partOf(part);
      const row = (name: string, what: string, measured: number, limit: number, unit: string): void => {
        // The accuracy page shows the ordinary run.
        expect(measured, JSON.stringify(faults.slice(0, 20), null, 1)).toBeLessThanOrEqual(limit);
        if (CROSSINGS !== 20) return;
        accuracy({
          id: `corpus-${part.replaceAll(" ", "-")}-${name}`,
          area: "Reading",
          what: `${part}, ${first.files} files: ${what}`,
          evidence: "simulation",
          source:
            "tests/corpus: invented drives printed in known dialects, values read back from the printed text",
          compared: first.columns,
          measured,
          limit,
          unit,
        });
      };
      const wrong = (t: Totals): number => wrongIn(t);
      const dropped = (t: Totals): number => t["silent drop"] + t["told but dropped"] + t.refused;
      row(
        "wrong",
        `columns read wrongly or guessed${told(part, wrong)}`,
        wrong(first) + wrong(answered),
        0,
        "columns",
      );
      row(
        "dropped",
        `columns dropped, in silence or told, or refused${told(part, dropped)}`,
        dropped(first) + dropped(answered),
        0,
        "columns",
      );
      row(
        "needless",
        "questions about what the file says",
        first["needless question"] / first.columns,
        0.05,
        "share of columns",
      );
      row(
        "again",
        "columns asked about again after every question was answered",
        answered["needless question"] + answered["asked rightly"],
        0,
        "columns",
      );
    },
  );

  it("the only needless question of the named dialects is the sense of a fuel-air equivalence ratio", () => {
    // Its name says the reciprocal of lambda; tools for service data head lambda with the same words. Common practice, no source.
    const { faults } = partOf("named dialects");
    expect(faults.map(({ file, outcome }) => [file, outcome])).toEqual([
      ["fuel-air equivalence ratio", "needless question"],
    ]);
  });

  it("names every file that is no log as what it is", () => {
    expect(notLogs.faults).toEqual([]);
  });
});
