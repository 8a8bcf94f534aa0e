import type { Figures } from "./figures.js";

export type ByGroup = { readonly [group: string]: Figures };
type Read = (figures: Figures) => number | null;

/** One figure asked of a group: at most `limit`, of what `read` gives. */
export interface Asked {
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

/** A figure of the first landed refinement; not a number where it was not scored. */
type Before = (group: string, read: Read) => number;

const clean = (before: Before): Asked[] => {
  const group = "all clean";
  return [
    overOracle(group, 1.25),
    overOracle("clean, 8-minute drive", 1.3),
    overOracle("clean, 2 % outliers", 1.6),
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
  ];
};

const partial = (): Asked[] => [
  cover(PARTIAL, 92),
  offBy(PARTIAL, 1),
  lean(PARTIAL, 4),
  leaned(PARTIAL, 3),
  {
    group: PARTIAL,
    what: "error over the driven cells less that of a table alone fitted with the true delay and noise",
    read: (f) => (f.rms.mean === null || f.rms.oracle === null ? null : f.rms.mean - f.rms.oracle),
    limit: 0.3,
    unit: "% rms",
  },
  wrongNames(PARTIAL),
  undriven(PARTIAL),
  ...["reversion", "pulsation", "purge", "blended airflow", "drives differ"].flatMap((group) => [
    cover(group, 80),
    lean(group, 4),
  ]),
];

/** Troubles of which drives tell little or nothing: shown with what is asked of the others. */
const untold = (): Asked[] =>
  ["fuel pressure sag", "lambda sensor drift", "heat soak", "lambda sensor stuck"].flatMap((group) => [
    cover(group, 80),
    lean(group, 4),
    wrongNames(group),
  ]);

const causes = (): Asked[] =>
  ["leak", "injector offset"].flatMap((group) => [
    {
      group,
      what: "cars whose cause is not named",
      read: (f: Figures) => (100 * (f.cases - f.namedRight)) / f.cases,
      limit: 20,
      unit: "% of cars",
      of: (f: Figures) => f.cases,
    },
    wrongNames(group),
    lean(group, 4),
  ]);

const trims = (): Asked[] => {
  const group = "all trims only";
  return [cover(group, 95), lean(group, 4), leaned(group, 4), wrongNames(group)];
};

const scale = (): Asked[] => {
  const group = "all scale errors";
  return [
    cover(group, 95, "evidenced cells inside their flow interval", (f) => f.coverFlow),
    cover(
      group,
      95,
      "evidenced cells inside their shape interval once its mean is taken off",
      (f) => f.coverCentred,
    ),
    wrongNames(group),
  ];
};

const tables = (before: Before): Asked[] =>
  Object.entries(TABLES).flatMap(([cells, limit]) => {
    const group = `table of ${cells} cells`;
    return [
      cover(group, 94),
      {
        group,
        what: "error of the curve at the driven cells",
        read: (f: Figures) => f.rms.mean,
        limit,
        unit: "% rms",
      },
      {
        group,
        what: "error of the table as executed over the drive, less that of the first landed refinement",
        read: (f: Figures) => f.executed.after - before(group, (b) => b.executed.after),
        limit: 0,
        unit: "% rms",
      },
    ];
  });

const reversionInputs = (): Asked[] =>
  [2, 3, 6, 10].flatMap((size) => {
    const group = `reversion input ${size} %`;
    return [
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
        read: (f: Figures) => f.cases - f.regionTold,
        limit: 0,
        unit: "drives",
        of: (f: Figures) => f.cases,
      },
    ];
  });

/** Everything that was asked for before anything was measured, of the groups that were scored. */
export function targets(groups: readonly string[], landed: ByGroup): Asked[] {
  const before: Before = (group, read) => {
    const figures = landed[group];
    return (figures === undefined ? null : read(figures)) ?? Number.NaN;
  };
  return [
    ...clean(before),
    ...partial(),
    ...untold(),
    ...causes(),
    ...trims(),
    ...scale(),
    ...tables(before),
    ...reversionInputs(),
  ].filter(({ group }) => groups.includes(group));
}
