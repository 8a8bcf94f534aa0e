import { BellmouthError } from "../../fault/index.js";
import { linearLeastSquares, type Rows } from "../../fit/index.js";

/** One number per run, as if every run had covered every point. */
export interface AdjustedRunMeans {
  readonly means: readonly number[];
  /** indices of the points that both sides cover, and over which the means are taken */
  readonly points: readonly number[];
  /** true when every run covers every such point, and the means are plain means */
  readonly complete: boolean;
  /**
   * Relative covariance of the means: the run's own variance on the diagonal, plus what the noise of single points makes
   * of it in a run with fewer points.
   *
   * @param runVariance variance of complete runs' means about the model, or null when unknown
   */
  readonly shape: (runVariance: number | null) => Rows;
}

/**
 * Means of runs over the points, adjusted for points that a run misses: least squares of run + point (each side with its
 * own points' levels, since the effect may differ from point to point).
 *
 * @param values rows are runs, columns points; NaN where missing
 * @throws `E_TOO_LITTLE_DATA` when the sides share no point, or a run has none of the shared points
 */
export function adjustedRunMeans(values: Rows, after: readonly boolean[]): AdjustedRunMeans {
  const has = (r: number, i: number): boolean => !Number.isNaN(values[r]?.[i] as number);
  const runs = values.map((_, r) => r);
  const points = (values[0] ?? [])
    .map((_, i) => i)
    .filter((i) => [true, false].every((side) => runs.some((r) => after[r] === side && has(r, i))));
  runs.forEach((r) => {
    if (points.some((i) => has(r, i))) return;
    throw new BellmouthError({
      code: "E_TOO_LITTLE_DATA",
      message: "the runs do not overlap in engine speed: no point is covered by both sides and by every run",
      found: `run ${r + 1} covers no point that both sides cover`,
      accepted: "runs over the same speeds",
      at: { path: `runs[${r}]` },
    });
  });
  const m = points.length;
  const complete = runs.every((r) => points.every((i) => has(r, i)));
  if (complete) {
    return {
      means: runs.map((r) => points.reduce((sum, i) => sum + (values[r]?.[i] as number), 0) / m),
      points,
      complete,
      shape: () => identity(runs.length),
    };
  }
  const means = new Array<number>(runs.length).fill(0);
  const noise = runs.map(() => new Array<number>(runs.length).fill(0));
  let squares = 0;
  let freedom = 0;
  for (const side of [false, true]) {
    const own = runs.filter((r) => after[r] === side);
    const cells = own.flatMap((r) => points.flatMap((i, c) => (has(r, i) ? [{ r, i, c }] : [])));
    // Levels of points sum to zero: the last one is minus the sum of the others.
    const design = cells.map(({ r, c }) => [
      ...own.map((other) => (other === r ? 1 : 0)),
      ...points.slice(1).map((_, k) => (c === m - 1 ? -1 : c === k ? 1 : 0)),
    ]);
    const fit = linearLeastSquares(
      design,
      cells.map(({ r, i }) => values[r]?.[i] as number),
      { spread: "known" },
    );
    own.forEach((r, a) => {
      means[r] = fit.parameters[a] as number;
      own.forEach((other, b) => {
        (noise[r] as number[])[other] = fit.covariance?.[a]?.[b] as number;
      });
    });
    squares += fit.sumOfSquares;
    freedom += fit.degreesOfFreedom;
  }
  return {
    means,
    points,
    complete,
    shape: (runVariance) => {
      const pointVariance = freedom > 0 ? squares / freedom : 0;
      // A complete run's mean holds 1/m of the point variance; what is left of its variance is the run's own.
      const own = runVariance === null ? pointVariance : Math.max(0, runVariance - pointVariance / m);
      const scale = own + pointVariance / m;
      if (!(scale > 0)) return identity(runs.length);
      return noise.map((row, r) =>
        row.map((value, k) => ((r === k ? own : 0) + pointVariance * value) / scale),
      );
    },
  };
}

const identity = (n: number): number[][] =>
  Array.from({ length: n }, (_, r) => Array.from({ length: n }, (_, k) => (r === k ? 1 : 0)));
