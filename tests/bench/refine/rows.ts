import type { AccuracyRow } from "../../support/accuracy.js";
import type { Figures } from "./figures.js";
import { regions } from "./regions.js";
import { type ByGroup, targets } from "./targets.js";

const SOURCE = "tests/bench/refine/score.mjs, simulated cars that the method was not developed on";

const slug = (text: string): string =>
  text
    .replaceAll("%", "percent")
    .replaceAll(/[^a-z0-9]+/gi, "-")
    .toLowerCase();

/** Rows for docs/accuracy.md: found beside asked for, whether reached or not, and what the first landed refinement gave. */
export function accuracyRows(now: ByGroup, landed: ByGroup): AccuracyRow[] {
  return targets(Object.keys(now), landed).map(({ group, what, read, limit, unit, of }): AccuracyRow => {
    const figures = now[group]!;
    const then = landed[group];
    const was = then === undefined ? null : read(then);
    return {
      id: slug(`refine ${group} ${what}`),
      area: "Refinement",
      what: `${group}: ${what}${was === null || Number.isNaN(was) ? "" : ` (first landed: ${Number(was.toPrecision(3))})`}`,
      evidence: "simulation",
      source: SOURCE,
      compared: (of ?? ((f: Figures) => f.evidenced))(figures) ?? 0,
      measured: read(figures) ?? Number.NaN,
      limit,
      unit,
    };
  });
}

/** A table to read: what each group gave. */
export function groupTable(now: ByGroup): string {
  const number = (value: number | null, digits: number): string =>
    value === null || Number.isNaN(value) ? "-" : value.toFixed(digits);
  const columns: readonly (readonly [string, (f: Figures) => string])[] = [
    ["cars", (f) => String(f.cases)],
    ["ref", (f) => String(f.refused)],
    ["cells", (f) => String(f.evidenced)],
    ["start", (f) => number(f.rms.start, 2)],
    ["practice", (f) => number(f.rms.practice, 2)],
    ["oracle", (f) => number(f.rms.oracle, 2)],
    ["mean", (f) => number(f.rms.mean, 2)],
    ["/oracle", (f) => number(f.overOracle, 2)],
    ["cover", (f) => number(f.cover, 1)],
    ["least", (f) => number(f.leastCover, 0)],
    ...regions.map((region) => [region, (f: Figures) => number(f.coverBy[region], 0)] as const),
    ["flow", (f) => number(f.coverFlow, 1)],
    ["centred", (f) => number(f.coverCentred, 1)],
    ["off", (f) => String(f.offCells)],
    ["half", (f) => number(f.half, 2)],
    ["lean", (f) => number(f.worstLean, 1)],
    ["leaned", (f) => number(f.worstLeaned, 1)],
    ["right", (f) => String(f.namedRight)],
    ["wrong", (f) => String(f.namedWrong)],
    ["region", (f) => String(f.regionTold)],
    ["executed", (f) => number(f.executed.after, 2)],
    ["s", (f) => number(f.seconds, 2)],
  ];
  const lines = [
    ["group", ...columns.map(([title]) => title)],
    ...Object.entries(now).map(([group, f]) => [group.slice(0, 30), ...columns.map(([, read]) => read(f))]),
  ];
  const widths = lines[0]!.map((_, k) => lines.reduce((most, line) => Math.max(most, line[k]!.length), 0));
  return lines
    .map((line) =>
      line.map((text, k) => (k === 0 ? text.padEnd(widths[k]!) : text.padStart(widths[k]!))).join(" "),
    )
    .join("\n");
}
