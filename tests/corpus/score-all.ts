import { carFiles, type FileKind } from "./cars.js";
import { makeCrossing } from "./crossing.js";
import type { CorpusFile } from "./file.js";
import { namedFiles } from "./named.js";
import { NOT_LOGS } from "./not-logs.js";
import type { Reader } from "./reading.js";
import { type ColumnScore, requestFor, scoreAnswered, scoreReading, type Totals, totals } from "./score.js";

/** Scores of one part of the corpus: the first reading of each file, and the second with every question answered. */
export interface PartScore {
  readonly part: string;
  readonly first: Totals;
  readonly answered: Totals;
  /** What went wrong, to look into. */
  readonly faults: readonly ColumnScore[];
}

const GOOD = new Set(["right", "asked rightly", "ignored rightly"]);

function scorePart(
  part: string,
  files: Iterable<readonly [CorpusFile, FileKind]>,
  reader: Reader,
): PartScore {
  const first: (readonly ColumnScore[])[] = [];
  const answered: (readonly ColumnScore[])[] = [];
  for (const [file, kind] of files) {
    first.push(scoreReading(file, reader(requestFor(file, kind))));
    const second = scoreAnswered(file, kind, reader);
    if (second.length > 0) answered.push(second);
  }
  const faults = [...first, ...answered].flat().filter((s) => !GOOD.has(s.outcome));
  return { part, first: totals(first), answered: totals(answered), faults };
}

/** The first `count` crossings, or as many as are scored in this time. */
function* crossings(count: number, seconds: number): Generator<readonly [CorpusFile, FileKind]> {
  const end = performance.now() + 1000 * seconds;
  for (let i = 0; i < count && performance.now() < end; i++) yield [makeCrossing(i), "log"];
}

/** Files that are no logs: refused with a reason (and named, where a person would name them), and nothing read. */
export function scoreNotLogs(reader: Reader): { readonly right: number; readonly faults: readonly string[] } {
  const faults: string[] = [];
  for (const { name, bytes, named } of NOT_LOGS) {
    const result = reader({ file: `${name}.csv`, bytes, kind: "log", signal: "frequency", answers: [] });
    if (result.crashed !== undefined) faults.push(`${name}: crash: ${result.crashed}`);
    else if (result.used.length > 0)
      faults.push(`${name}: read as ${result.used.map((u) => u.channel).join()}`);
    else if (result.refused === undefined) faults.push(`${name}: not refused`);
    else if (named !== undefined && !named.test(result.refused))
      faults.push(`${name}: not named: ${result.refused}`);
  }
  return { right: NOT_LOGS.length - faults.length, faults };
}

export function scoreCorpus(
  reader: Reader,
  crossed: number,
  seconds = Number.POSITIVE_INFINITY,
): readonly PartScore[] {
  return [
    scorePart(
      "named dialects",
      namedFiles().map((f) => [f, "log"] as const),
      reader,
    ),
    scorePart(
      "twelve cars",
      carFiles().map((f) => [f, f.kind] as const),
      reader,
    ),
    scorePart("crossings", crossings(crossed, seconds), reader),
  ];
}

/** The table that the command prints. */
export function scoreTable(parts: readonly PartScore[]): string {
  const keys = Object.keys(parts[0]!.first) as (keyof Totals)[];
  const head = ["", ...parts.flatMap((p) => [p.part, "answered"])].join("\t");
  const lines = keys.map((k) => [k, ...parts.flatMap((p) => [p.first[k], p.answered[k]])].join("\t"));
  return [head, ...lines].join("\n");
}
