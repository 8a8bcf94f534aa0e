import { marginalise } from "./cholesky.js";
import type { Timeline } from "./timeline.js";

/**
 * What a drive's trims hold besides air: fuel temperature and what the ECU has learnt so far shift all of them alike, and the canister's
 * purge brings a flow of fuel vapour of its own, which counts the more the less air there is. Both differ from drive to drive, however
 * long a drive is: so one drive's trims alone never tell the table better than this.
 * Standard uncertainties [1]: of the common shift, and of the purge at rest. Common practice, no source.
 */
const commonShift = 0.01;
const purgeAtRest = 0.03;
/** Metered air at which the purge has fallen to half of its share at rest, over the table's top flow [1]. */
const purgeShare = 0.05;

/** The columns of a drive's own trim wander, and their standard uncertainties. */
export function trimWander(
  timeline: Timeline,
  topFlow: number,
): { readonly columns: readonly Float64Array[]; readonly u: readonly number[] } {
  const half = purgeShare * topFlow;
  return {
    columns: [
      new Float64Array(timeline.grid.n).fill(1),
      Float64Array.from(timeline.metered, (flow) => half / (half + flow)),
    ],
    u: [commonShift, purgeAtRest],
  };
}

/**
 * Integrates the trailing parameters of a drive's evidence out, given their standard uncertainties.
 *
 * @param u of the parameters after the first `keep` [1]
 * @returns the evidence about the rest; `null` when it cannot be solved
 */
export function integrateOut(
  evidence: { readonly matrix: Float64Array; readonly vector: Float64Array },
  u: readonly number[],
  keep: number,
): { readonly matrix: Float64Array; readonly vector: Float64Array } | null {
  const n = keep + u.length;
  const matrix = Float64Array.from(evidence.matrix);
  u.forEach((spread, k) => {
    const i = keep + k;
    matrix[i * n + i] = matrix[i * n + i]! + 1 / spread ** 2;
  });
  const reduced = marginalise(matrix, [evidence.vector], n, keep);
  return reduced === null ? null : { matrix: reduced.matrix, vector: reduced.vectors[0]! };
}
