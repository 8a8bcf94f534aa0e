import type { AccuracyRow } from "../../support/accuracy.js";
import type { Figures } from "./figures.js";
import { regions } from "./regions.js";

type ByGroup = { readonly [group: string]: Figures };
type Read = (figures: Figures) => number | null;

const SOURCE = "tests/bench/refine/score.mjs, simulated cars that the method was not developed on";

/** One figure asked of a group: at most `limit`, of what `read` gives. */
interface Asked {
  readonly group: string;
  readonly what: string;
  readonly read: Read;
  readonly limit: number;
  readonly unit: string;
  /** Number of values behind it. */
  readonly of?: Read;
}

const below =
  (read: Read): Read =>
  (figures) => {
    const value = read(figures);
    return value === null ? null : 95 - value;
  };
const cover = (
  group: string,
  least: number,
  what = "evidenced cells inside their shape interval",
  read: Read = (f) => f.cover,
): Asked => ({
  group,
  what: `${what}, points below 95 %`,
  read: below(read),
  limit: 95 - least,
  unit: "percentage points",
});
const lean = (group: string, limit: number): Asked => ({
  group,
  what: "what the leanest evidenced cell of the written table lacks",
  read: (f) => f.worstLean,
  limit,
  unit: "%, worst",
});
const leaned = (group: string, limit: number): Asked => ({
  group,
  what: "how much an evidenced cell was made leaner than it was and than the truth",
  read: (f) => f.worstLeaned,
  limit,
  unit: "%, worst",
});
const offBy = (group: string, limit: number): Asked => ({
  group,
  what: "evidenced cells off by more than twice their interval",
  read: (f) => f.off,
  limit,
  unit: "% of cells",
});
const wrongNames = (group: string): Asked => ({
  group,
  what: "cars of which a wrong cause is named",
  read: (f) => f.namedWrong,
  limit: 0,
  unit: "cars",
  of: (f) => f.cases,
});
const overOracle = (group: string, limit: number): Asked => ({
  group,
  what: "error over the driven cells, over that of an oracle told delay, noise and transient law",
  read: (f) => f.overOracle,
  limit,
  unit: "ratio of rms",
});
const undriven = (group: string): Asked =>
  cover(group, 95, "cells that were not driven inside their interval", (f) => f.coverUndriven);

const PARTIAL = "troubles in a part of speed and load, and drives that differ";
/** Rms at the cells asked of a table of so many cells [%]. */
const TABLES = { 16: 0.45, 24: 0.32, 40: 0.24, 64: 0.24, 256: 0.24 } as const;

/** Everything that was asked for before anything was measured. */
function asked(groups: readonly string[], landed: ByGroup): Asked[] {
  const every = (names: readonly string[], of: (group: string) => Asked[]): Asked[] =>
    names.filter((name) => groups.includes(name)).flatMap(of);
  const before = (group: string, read: Read): number => {
    const figures = landed[group];
    return (figures === undefined ? null : read(figures)) ?? Number.NaN;
  };
  return [
    ...every(["all clean"], (group) => [
      overOracle(group, 1.25),
      cover(group, 94),
      {
        group,
        what: "evidenced cells inside their shape interval, points above 95 %",
        read: (f) => (f.cover === null ? null : f.cover - 95),
        limit: 4,
        unit: "percentage points",
      },
      ...(["idle", "light load"] as const).map((region) =>
        cover(group, 90, `cells inside their interval, ${region}`, (f) => f.coverBy[region]),
      ),
      cover(group, 93, "cells inside their interval, high load", (f) => f.coverBy["high load"]),
      cover(group, 85, "cells inside their interval, above the last driven cell", (f) => f.coverBy.above),
      undriven(group),
      offBy(group, 0.1),
      {
        group,
        what: "mean half-width of the shape interval over that of the first landed refinement",
        read: (f) => f.half / before(group, (b) => b.half),
        limit: 1.3,
        unit: "ratio",
      },
      wrongNames(group),
      lean(group, 4),
    ]),
    ...every(["clean, 8-minute drive"], (group) => [overOracle(group, 1.3)]),
    ...every(["clean, 2 % outliers"], (group) => [overOracle(group, 1.6)]),
    ...every([PARTIAL], (group) => [
      cover(group, 92),
      offBy(group, 1),
      lean(group, 4),
      leaned(group, 3),
      {
        group,
        what: "error over the driven cells less that of a table alone fitted with the true delay and noise",
        read: (f) => (f.rms.mean === null || f.rms.oracle === null ? null : f.rms.mean - f.rms.oracle),
        limit: 0.3,
        unit: "% rms",
      },
      wrongNames(group),
      undriven(group),
    ]),
    ...every(["reversion", "pulsation", "purge", "blended airflow", "drives differ"], (group) => [
      cover(group, 80),
      lean(group, 4),
    ]),
    ...every(["fuel pressure sag", "lambda sensor drift", "heat soak", "lambda sensor stuck"], (group) => [
      cover(group, 80),
      lean(group, 4),
      wrongNames(group),
    ]),
    ...every(["leak", "injector offset"], (group) => [
      {
        group,
        what: "cars whose cause is not named",
        read: (f) => (100 * (f.cases - f.namedRight)) / f.cases,
        limit: 20,
        unit: "% of cars",
        of: (f) => f.cases,
      },
      wrongNames(group),
      lean(group, 4),
    ]),
    ...every(["all trims only"], (group) => [
      cover(group, 95),
      lean(group, 4),
      leaned(group, 4),
      wrongNames(group),
    ]),
    ...every(["all scale errors"], (group) => [
      cover(group, 95, "evidenced cells inside their flow interval", (f) => f.coverFlow),
      cover(
        group,
        95,
        "evidenced cells inside their shape interval once its mean is taken off",
        (f) => f.coverCentred,
      ),
      wrongNames(group),
    ]),
    ...every(
      Object.keys(TABLES).map((cells) => `table of ${cells} cells`),
      (group) => [
        cover(group, 94),
        {
          group,
          what: "error of the curve at the driven cells",
          read: (f) => f.rms.mean,
          limit: TABLES[Number(/\d+/.exec(group)?.[0]) as keyof typeof TABLES],
          unit: "% rms",
        },
        {
          group,
          what: "error of the table as executed over the drive, less that of the first landed refinement",
          read: (f) => f.executed.after - before(group, (b) => b.executed.after),
          limit: 0,
          unit: "% rms",
        },
      ],
    ),
    ...every(
      groups.filter((group) => group.startsWith("reversion input")),
      (group) => [
        lean(group, 3),
        leaned(group, 3),
        undriven(group),
        {
          ...wrongNames(group),
          what: "drives of which a leak or another wrong cause is named",
          unit: "drives",
        },
        {
          group,
          what: "drives whose region is not told",
          read: (f) => f.cases - f.regionTold,
          limit: 0,
          unit: "drives",
          of: (f) => f.cases,
        },
      ],
    ),
  ];
}

const slug = (text: string): string =>
  text
    .replaceAll("%", "percent")
    .replaceAll(/[^a-z0-9]+/gi, "-")
    .toLowerCase();

/** Rows for docs/accuracy.md: found beside asked for, whether reached or not, and what the first landed refinement gave. */
export function accuracyRows(now: ByGroup, landed: ByGroup): AccuracyRow[] {
  return asked(Object.keys(now), landed).map(({ group, what, read, limit, unit, of }): AccuracyRow => {
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
