import type { Pair } from "./pairs.js";

/** A cell as the ECU executes it, told by a log. */
export interface ExecutedCell {
  /** executed less meant flow [kg/s], and its standard uncertainty */
  readonly difference: number;
  readonly u: number;
  /** differences up to this are not told from none [kg/s] */
  readonly limit: number;
  readonly state: "agrees" | "differs" | "not driven";
}

export interface ExecutedTable {
  readonly cells: readonly ExecutedCell[];
  /** what the ECU does past each end, as far as it was driven there */
  readonly below: "hold" | "extend" | "neither" | "not driven";
  readonly above: "hold" | "extend" | "neither" | "not driven";
  /** reported flow behind the signal in these pairs [s]; rows in a log without time */
  readonly lag: number;
  /** pairs used, and pairs in all */
  readonly used: number;
  readonly pairs: number;
  /** steps in which flow and signal are logged [kg/s], [Hz] or [V] */
  readonly flowStep: number;
  readonly signalStep: number;
}

/** A cell whose limit is above this share of its flow was not driven enough to say anything [1]. */
const MOST_LIMIT = 0.05;
/** Standard uncertainties that a difference must exceed: 40 cells with none give one false alarm in 400 tables. */
const SURE = 4;
/** Least difference named, as a share of the flow [1]: what fixed-point arithmetic of an ECU may add. */
const LEAST_SHARE = 0.002;
const PASSES = 8;
/** Fewest pairs that a cell is judged by; a pair halfway between two counts half for each [1]. */
const CELL_PAIRS = 4;
/** Share of a signal's movement between samples by which it may be off at the flow's moment [1]. */
const MOVED_SHARE = 0.3;
/** Fewest pairs past an end that tell what happens there. */
const END_PAIRS = 5;

/**
 * The table that the ECU executes, cell by cell, against the one that was meant: least squares on the lines between
 * breakpoints, outliers weighted down, with the lag of the reported flow found alongside.
 *
 * @param signal breakpoints [Hz] or [V], increasing
 * @param flow   meant flows [kg/s]
 * @source Weights: P. J. Huber, Ann. Math. Stat. 35 (1964) 73.
 */
export function executedTable(
  signal: readonly number[],
  flow: readonly number[],
  pairs: readonly Pair[],
): ExecutedTable {
  const flowStep = leastStep(pairs.map((pair) => pair.flow));
  const signalStep = leastStep(pairs.map((pair) => pair.signal));
  const last = signal.length - 1;
  const placed = pairs
    .filter(
      (pair) =>
        pair.held !== true && pair.signal >= (signal[0] as number) && pair.signal <= (signal[last] as number),
    )
    .map((pair) => {
      const k = segmentOf(signal, pair.signal);
      const [s0, s1] = [signal[k] as number, signal[k + 1] as number];
      const [f0, f1] = [flow[k] as number, flow[k + 1] as number];
      const slope = (f1 - f0) / (s1 - s0);
      const share = (pair.signal - s0) / (s1 - s0);
      const sigma = Math.hypot(
        flowStep / Math.sqrt(12),
        (slope * signalStep) / Math.sqrt(12),
        slope * MOVED_SHARE * pair.moved,
        5e-4 * pair.flow,
      );
      return { k, share, off: pair.flow - (f0 + share * (f1 - f0)), drift: slope * pair.rate, sigma, pair };
    })
    // A signal in full swing says little about a cell and much about the lag.
    .filter(({ sigma, pair }) => sigma <= 0.03 * pair.flow);
  let lag = 0;
  let scale = 1;
  let solved = solve(
    flow,
    placed,
    placed.map(() => 1),
    lag,
  );
  for (let pass = 0; pass < PASSES; pass++) {
    const rest = placed.map(
      (one) =>
        (one.off +
          lag * one.drift -
          (1 - one.share) * (solved.value[one.k] as number) -
          one.share * (solved.value[one.k + 1] as number)) /
        one.sigma,
    );
    scale = Math.max(1, 1.4826 * medianOf(rest.map(Math.abs)));
    const weights = rest.map((r) => Math.min(1, (2 * scale) / Math.max(Math.abs(r), 1e-300)));
    let [top, bottom] = [0, 1e-30];
    placed.forEach((one, i) => {
      const drift = one.drift / one.sigma;
      top += (weights[i] as number) * drift * (rest[i] as number);
      bottom += (weights[i] as number) * drift * drift;
    });
    lag -= top / bottom;
    solved = solve(flow, placed, weights, lag);
  }
  const counted = new Array<number>(flow.length).fill(0);
  for (const { k, share } of placed) {
    counted[k] = (counted[k] as number) + 1 - share;
    counted[k + 1] = (counted[k + 1] as number) + share;
  }
  const cells = flow.map((meant, k): ExecutedCell => {
    const driven = (counted[k] as number) >= CELL_PAIRS;
    const difference = solved.value[k] as number;
    const u = scale * Math.sqrt(solved.variance[k] as number);
    const limit = Math.max(SURE * u, LEAST_SHARE * meant, flowStep / 2);
    const seen = SURE * u <= Math.max(MOST_LIMIT * meant, flowStep);
    return {
      difference,
      u,
      limit,
      state:
        driven && Math.abs(difference) > limit && u < meant / 8
          ? "differs"
          : driven && seen
            ? "agrees"
            : "not driven",
    };
  });
  const executed = flow.map(
    (meant, k) => meant + (cells[k]?.state === "not driven" ? 0 : (solved.value[k] as number)),
  );
  const end = (at: number, next: number): ExecutedTable["above"] =>
    pastEnd(signal, executed, at, next, pairs, flowStep);
  return {
    cells,
    below: end(0, 1),
    above: end(last, last - 1),
    lag,
    used: placed.length,
    pairs: pairs.length,
    flowStep,
    signalStep,
  };
}

interface Placed {
  readonly k: number;
  readonly share: number;
  readonly off: number;
  readonly drift: number;
  readonly sigma: number;
}

/** Differences of the cells and their variances: the normal equations have three diagonals. */
function solve(
  flow: readonly number[],
  placed: readonly Placed[],
  weights: readonly number[],
  lag: number,
): { readonly value: readonly number[]; readonly variance: readonly number[] } {
  const n = flow.length;
  // A cell that no pair touches is known to within itself.
  const diagonal = flow.map((meant) => 1 / Math.max(meant, 1e-6) ** 2);
  const beside = new Array<number>(n).fill(0);
  const right = new Array<number>(n).fill(0);
  placed.forEach(({ k, share, off, drift, sigma }, i) => {
    const weight = (weights[i] as number) / sigma ** 2;
    const value = off + lag * drift;
    diagonal[k] = (diagonal[k] as number) + weight * (1 - share) ** 2;
    diagonal[k + 1] = (diagonal[k + 1] as number) + weight * share ** 2;
    beside[k] = (beside[k] as number) + weight * share * (1 - share);
    right[k] = (right[k] as number) + weight * (1 - share) * value;
    right[k + 1] = (right[k + 1] as number) + weight * share * value;
  });
  const down = [...diagonal];
  const up = [...diagonal];
  const value = [...right];
  for (let i = 1; i < n; i++) {
    const factor = (beside[i - 1] as number) / (down[i - 1] as number);
    down[i] = (down[i] as number) - factor * (beside[i - 1] as number);
    value[i] = (value[i] as number) - factor * (value[i - 1] as number);
  }
  for (let i = n - 2; i >= 0; i--)
    up[i] = (up[i] as number) - (beside[i] as number) ** 2 / (up[i + 1] as number);
  for (let i = n - 1; i >= 0; i--)
    value[i] =
      ((value[i] as number) - (i + 1 < n ? (beside[i] as number) * (value[i + 1] as number) : 0)) /
      (down[i] as number);
  // Diagonal of the inverse of a matrix of three diagonals, from its two eliminations.
  const variance = diagonal.map((d, i) => 1 / ((down[i] as number) + (up[i] as number) - d));
  return { value, variance };
}

/** Whether flows past an end are the end's own, or on the line through the last two cells. */
function pastEnd(
  signal: readonly number[],
  flow: readonly number[],
  at: number,
  next: number,
  pairs: readonly Pair[],
  flowStep: number,
): ExecutedTable["above"] {
  const [s, f] = [signal[at] as number, flow[at] as number];
  const slope = ((flow[next] as number) - f) / ((signal[next] as number) - s);
  const tolerance = Math.max(0.004 * f, flowStep);
  const past = pairs.filter(
    (pair) =>
      (at === 0 ? pair.signal < s : pair.signal > s) &&
      Math.abs(slope * (pair.signal - s)) > 4 * tolerance + 2 * Math.abs(slope) * pair.moved,
  );
  if (past.length < END_PAIRS) return "not driven";
  const off = (extended: boolean): number =>
    medianOf(past.map((pair) => Math.abs(pair.flow - (f + (extended ? slope * (pair.signal - s) : 0)))));
  if (off(false) <= tolerance) return "hold";
  return off(true) <= Math.max(tolerance, 0.01 * f) ? "extend" : "neither";
}

function segmentOf(signal: readonly number[], at: number): number {
  let from = 0;
  let to = signal.length - 1;
  while (to - from > 1) {
    const middle = (from + to) >> 1;
    if ((signal[middle] as number) <= at) from = middle;
    else to = middle;
  }
  return from;
}

function medianOf(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[sorted.length >> 1] ?? 0;
}

/** Step in which a column is written: the tenth part of its smaller differences between neighbouring values lies at or below it. */
function leastStep(values: readonly number[]): number {
  const sorted = [...new Set(values)].sort((a, b) => a - b);
  const steps = sorted
    .slice(1)
    .map((value, i) => value - (sorted[i] as number))
    .sort((a, b) => a - b);
  return steps[Math.floor(0.1 * steps.length)] ?? 0;
}
