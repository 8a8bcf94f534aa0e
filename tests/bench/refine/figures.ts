import { POOLS } from "./pools.js";
import type { Region } from "./regions.js";
import { regions } from "./regions.js";
import type { CaseScore, CellScore } from "./score-case.js";

/** Causes that are true of a group; any other name is wrong. */
const TRUE_CAUSE: { readonly [group: string]: RegExp } = {
  leak: /^leak/,
  "injector offset": /^injector offset/,
  reversion: /reversion|pulsation/,
  pulsation: /reversion|pulsation/,
  purge: /purge/,
  "blended airflow": /blend/,
  "lambda sensor drift": /sensor/,
  "lambda sensor offset": /sensor/,
  "lambda sensor stuck": /sensor/,
};
const trueCause = (group: string): RegExp =>
  group.startsWith("reversion input") ? /reversion|pulsation/ : (TRUE_CAUSE[group] ?? /^$/);

/** Figures of several cases together; shares and errors in per cent. */
export interface Figures {
  readonly cases: number;
  readonly refused: number;
  /** Driven cells, by the truth; and those that the method calls evidenced. */
  readonly driven: number;
  readonly evidenced: number;
  /** Root mean square error over the driven cells. */
  readonly rms: { readonly [method in "start" | "practice" | "oracle" | "mean" | "written"]: number | null };
  /** Estimate's rms over the oracle's [1]; null where no oracle was asked. */
  readonly overOracle: number | null;
  /** Evidenced cells inside the shape interval: pooled, the least of the cases, by region, and inside the flow interval. */
  readonly cover: number | null;
  readonly leastCover: number | null;
  readonly coverBy: { readonly [region in Region]: number | null };
  readonly coverFlow: number | null;
  /** The same for the shape once each case's mean error is taken off. */
  readonly coverCentred: number | null;
  /** Cells that were not driven inside their flow interval; those above the last driven one. */
  readonly coverUndriven: number | null;
  /** Evidenced cells off by more than two half-widths of their interval, number and share. */
  readonly offCells: number;
  readonly off: number | null;
  /** Mean half-width of the shape interval over the driven cells. */
  readonly half: number;
  /** Mean of ln(estimate/truth) over the evidenced cells, by region. */
  readonly bias: { readonly [region in Region]: number | null };
  /** How much the leanest evidenced cell of the written table lacks. */
  readonly worstLean: number;
  /** The same, but only as far as the cell is leaner than before, too: what the method itself did. */
  readonly worstLeaned: number;
  readonly named: number;
  readonly namedRight: number;
  readonly namedWrong: number;
  readonly regionTold: number;
  readonly executed: { readonly before: number; readonly after: number };
  readonly seconds: number;
}

const inside = ([low, high]: readonly [number, number]): boolean => low <= 0 && high >= 0;
const share = (cells: readonly CellScore[], counts: (cell: CellScore) => boolean): number | null =>
  cells.length === 0 ? null : (100 * cells.filter(counts).length) / cells.length;
const mean = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0) / values.length;
const rms = (values: readonly (number | null)[]): number | null => {
  const known = values.filter((value) => value !== null);
  return known.length === 0 ? null : 100 * Math.sqrt(mean(known.map((value) => Math.expm1(value) ** 2)));
};
const half = (cell: CellScore): number => (cell.shape[1] - cell.shape[0]) / 2;
const byRegion = <T>(of: (region: Region) => T): { readonly [region in Region]: T } =>
  Object.fromEntries(regions.map((region) => [region, of(region)])) as { readonly [region in Region]: T };

/** Pools cases. */
export function figures(cases: readonly CaseScore[]): Figures {
  const cells = cases.flatMap((one) => one.cells);
  const driven = cells.filter((cell) => cell.driven);
  const evidenced = cells.filter((cell) => cell.evidenced);
  const undriven = cells.filter((cell) => !cell.driven && !cell.evidenced);
  const off = evidenced.filter((cell) => Math.abs(cell.mean) > 2 * half(cell)).length;
  // Only cells that an oracle answered: on clean cars and troubles, not on coarse tables.
  const asked = driven.filter((cell) => cell.oracle !== null);
  const [ours, oracles] = [rms(asked.map((cell) => cell.mean)), rms(asked.map((cell) => cell.oracle))];
  const covers = cases
    .map((one) =>
      share(
        one.cells.filter((cell) => cell.evidenced),
        (cell) => inside(cell.shape),
      ),
    )
    .filter((value) => value !== null);
  const centred = cases.flatMap((one) => {
    const own = one.cells.filter((cell) => cell.evidenced);
    const common = mean(own.map((cell) => cell.mean));
    return own.map((cell) => inside([cell.shape[0] - common, cell.shape[1] - common]));
  });
  const right = cases.filter((one) => one.named !== null && trueCause(one.group).test(one.named)).length;
  const named = cases.filter((one) => one.named !== null).length;
  return {
    cases: cases.length,
    refused: cases.filter((one) => one.refused).length,
    driven: driven.length,
    evidenced: evidenced.length,
    rms: {
      start: rms(driven.map((cell) => cell.start)),
      practice: rms(driven.map((cell) => cell.practice)),
      oracle: oracles,
      mean: rms(driven.map((cell) => cell.mean)),
      written: rms(driven.map((cell) => cell.written)),
    },
    overOracle: ours === null || oracles === null ? null : ours / oracles,
    cover: share(evidenced, (cell) => inside(cell.shape)),
    leastCover: covers.length === 0 ? null : covers.reduce((a, b) => Math.min(a, b)),
    coverBy: byRegion((region) =>
      share(
        cells.filter((cell) => cell.region === region && (cell.evidenced || !cell.driven)),
        (cell) => inside(cell.driven ? cell.shape : cell.interval),
      ),
    ),
    coverFlow: share(evidenced, (cell) => inside(cell.interval)),
    coverCentred: centred.length === 0 ? null : (100 * centred.filter((is) => is).length) / centred.length,
    coverUndriven: share(undriven, (cell) => inside(cell.interval)),
    offCells: off,
    off: evidenced.length === 0 ? null : (100 * off) / evidenced.length,
    half: 100 * mean(driven.map(half)),
    bias: byRegion((region) => {
      const own = evidenced.filter((cell) => cell.region === region);
      return own.length === 0 ? null : 100 * mean(own.map((cell) => cell.mean));
    }),
    worstLean: 100 * evidenced.reduce((most, cell) => Math.max(most, -Math.expm1(cell.written)), 0),
    worstLeaned:
      100 *
      evidenced.reduce(
        (most, cell) => Math.max(most, -Math.expm1(cell.written - Math.min(cell.start, 0))),
        0,
      ),
    named,
    namedRight: right,
    namedWrong: named - right,
    regionTold: cases.filter((one) => one.region !== null).length,
    executed: {
      before: 100 * Math.sqrt(mean(cases.map((one) => one.executed.before ** 2))),
      after: 100 * Math.sqrt(mean(cases.map((one) => one.executed.after ** 2))),
    },
    seconds: mean(cases.map((one) => one.seconds["refine"] ?? 0)),
  };
}

/** Figures of every group and of the pools that the targets speak of. */
export function figuresByGroup(scores: readonly CaseScore[]): { readonly [group: string]: Figures } {
  const groups = [...new Set(scores.map((score) => score.group))];
  const pools: readonly (readonly [string, (group: string) => boolean])[] = [
    ...groups.map((group) => [group, (other: string) => other === group] as const),
    ...Object.entries(POOLS),
  ];
  return Object.fromEntries(
    pools.flatMap(([name, holds]) => {
      const own = scores.filter((score) => holds(score.group));
      return own.length === 0 ? [] : [[name, figures(own)] as const];
    }),
  );
}
