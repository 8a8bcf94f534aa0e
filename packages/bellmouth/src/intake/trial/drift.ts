import type { Rows } from "../../fit/index.js";
import type { CovarianceCandidate } from "./run-covariance.js";

/** A drift that is known beforehand to a standard uncertainty [Pa/s] or [K/s]. */
export interface StatedDrift {
  readonly perSecond: number;
}

/** Heat soak known beforehand: an error of the first run that dies away with time, the same in both sides. */
export interface StatedSoak {
  /** Standard uncertainty of its size at the first run [Pa] or [K], of the mean over the points. */
  readonly sd: number;
  /** Time in which it falls to 1/e [s]. */
  readonly time: number;
}

/** What is known of how runs change with time. */
export interface DriftOptions {
  /**
   * "unknown": a drift and a heat soak of unknown size, each compared with the runs' own scatter (see `driftCandidates`).
   * "linear": a straight drift of any size, which costs a degree of freedom. "none": the caller's claim.
   */
  readonly drift: "unknown" | "linear" | "none" | StatedDrift;
  readonly soak?: StatedSoak;
  /** True where the runs are known to have settled: no heat soak beside a straight drift. */
  readonly settled?: boolean;
}

type Sizes = readonly (readonly [size: number, weight: number])[];

/**
 * Change over the whole trial that a straight drift may make, in standard deviations of a run [1], with prior
 * probabilities. Chosen by simulation, see docs/decisions/0011-trial-drift.md. An order that keeps a drift out of the
 * comparison needs it for the scatter alone; where the order cannot, the effect is as unsure as the drift.
 */
const DRIFTS_KEPT_OUT: Sizes = [
  [0, 0.7],
  [3, 0.15],
  [12, 0.1],
  [50, 0.05],
];
const DRIFTS_LIKE_THE_EFFECT: Sizes = [
  [0, 0.2],
  [2, 0.4],
  [8, 0.3],
  [30, 0.1],
];
/** The same for heat soak: its size at the first run. */
const SOAKS: Sizes = [
  [0, 0.8],
  [4, 0.1],
  [12, 0.1],
];
/** Time in which a soak of unknown size falls to 1/e [s]. Common practice, no source. */
const SOAK_TIME = 600;
const NOTHING: Sizes = [[0, 1]];

export interface DriftPrior extends DriftOptions {
  /** whether the order of the runs makes a straight drift look much like the effect */
  readonly confounded: boolean;
  readonly after: readonly boolean[];
  /** degrees of freedom that judge the scatter without a drift [1]; null when it is known */
  readonly freedom: number | null;
}

/**
 * Covariances that runs may share beside their own scatter: a straight drift with time, and heat soak that dies away,
 * each of unknown size. Sizes are in standard deviations of a run, so the units do not matter.
 *
 * @param time     [s]
 * @param relative covariance of the runs without a drift [1]
 */
export function driftCandidates(
  time: readonly number[],
  relative: Rows,
  prior: DriftPrior,
): CovarianceCandidate[] {
  const unknown = prior.drift === "unknown";
  const drifts = unknown ? (prior.confounded ? DRIFTS_LIKE_THE_EFFECT : DRIFTS_KEPT_OUT) : NOTHING;
  const soaks = !unknown || prior.settled || prior.soak !== undefined ? NOTHING : SOAKS;
  const first = Math.min(...time);
  const span = Math.max(...time) - first;
  const line = time.map((t) => (t - first) / span - 0.5);
  const decay = time.map((t) => Math.exp(-(t - first) / SOAK_TIME));
  return drifts.flatMap(([drift, likely]) =>
    soaks.flatMap(([soak, weight]) => {
      // Shapes as many as the runs leave free would explain any scatter: two degrees must remain for a soak as well.
      const shapes = (drift > 0 ? 1 : 0) + (soak > 0 ? 2 : 0);
      if (prior.freedom !== null && shapes >= prior.freedom) return [];
      // Where drift and effect look alike, the width of the prior decides, and not the scatter.
      const taken =
        prior.freedom === null || prior.confounded
          ? 0
          : takenBy(line, drift, prior.after) + takenBy(decay, soak, prior.after);
      return [{ weight: likely * weight, relative: plus(plus(relative, line, drift), decay, soak), taken }];
    }),
  );
}

/** Covariance of a drift and a soak that were stated, in the unit of the values squared; undefined when none was. */
export function statedDrift(time: readonly number[], options: DriftOptions): Rows | undefined {
  const { drift, soak } = options;
  if (typeof drift === "string" && soak === undefined) return undefined;
  const first = Math.min(...time);
  const none = time.map(() => time.map(() => 0));
  const sloped =
    typeof drift === "string"
      ? none
      : plus(
          none,
          time.map((t) => t - first),
          drift.perSecond,
        );
  return soak === undefined
    ? sloped
    : plus(
        sloped,
        time.map((t) => Math.exp(-(t - first) / soak.time)),
        soak.sd,
      );
}

const plus = (matrix: Rows, shape: readonly number[], size: number): Rows =>
  size === 0
    ? matrix
    : matrix.map((row, r) =>
        row.map((value, k) => value + size * size * (shape[r] as number) * (shape[k] as number)),
      );

/** Share of a degree of freedom that a shape of this size takes from the scatter of the runs about their sides' means [1]. */
function takenBy(shape: readonly number[], size: number, after: readonly boolean[]): number {
  const mean = (side: boolean): number => {
    const own = shape.filter((_, r) => after[r] === side);
    return own.reduce((sum, value) => sum + value, 0) / own.length;
  };
  const means = [mean(false), mean(true)] as const;
  const left = shape.reduce((sum, value, r) => sum + (value - means[after[r] ? 1 : 0]) ** 2, 0);
  const seen = size * size * left;
  return seen / (1 + seen);
}
