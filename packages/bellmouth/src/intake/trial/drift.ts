import type { Rows } from "../../fit/index.js";
import type { CovarianceCandidate } from "./run-covariance.js";
import type { EffectOptions } from "./run-effect.js";

/**
 * Change over the whole trial that a straight drift may make, in standard deviations of a run [1], and their prior
 * probabilities. Chosen, see docs/decisions/0009-trial-drift.md: half for none, the rest spread evenly over the logarithm.
 */
const DRIFTS: readonly (readonly [size: number, weight: number])[] = [
  [0, 0.4],
  [1, 0.2],
  [3, 0.2],
  [10, 0.1],
  [40, 0.1],
];

/** The same for heat soak: its size at the first run. */
const SOAKS: readonly (readonly [size: number, weight: number])[] = [
  [0, 0.6],
  [2, 0.2],
  [8, 0.2],
];
/** Times in which soak falls to 1/e [s]: 5 and 15 minutes. Common practice, no source. */
const SOAK_TIMES = [300, 900] as const;

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
  options: Pick<EffectOptions, "drift" | "soak" | "settled">,
): CovarianceCandidate[] {
  const drifts = options.drift === "unknown" ? DRIFTS : [[0, 1] as const];
  const soaks = options.drift !== "unknown" || options.settled || options.soak !== undefined ? [[0, 1] as const] : SOAKS;
  const first = Math.min(...time);
  const span = Math.max(...time) - first;
  const line = time.map((t) => (t - first) / span - 0.5);
  return drifts.flatMap(([drift, w1]) =>
    soaks.flatMap(([soak, w2]) =>
      (soak === 0 ? [SOAK_TIMES[0]] : SOAK_TIMES).map((fall) => {
        const decay = time.map((t) => Math.exp(-(t - first) / fall));
        return {
          weight: (w1 * w2) / (soak === 0 ? 1 : SOAK_TIMES.length),
          relative: plus(plus(relative, line, drift), decay, soak),
        };
      }),
    ),
  );
}

/** Covariance of a drift and a soak that were stated, in the unit of the values squared; undefined when none was. */
export function statedDrift(
  time: readonly number[],
  options: Pick<EffectOptions, "drift" | "soak">,
): Rows | undefined {
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
