import { choleskyFactor, choleskyInverse, marginalise } from "./cholesky.js";
import type { NormalSums } from "./pass.js";

/** Stretches that a drive is cut into to see how far its parts disagree, and the shortest one [s]. */
export const stretchCount = 30;
export const shortestStretch = 15;

/**
 * How much more the stretches of a drive disagree about the curve than the noise law says they should: the variance of their
 * pulls on the estimate over the expected one. 1 when the law is right; above when something the model does not hold (a
 * trim that remembers, a leak, a transient of its own) pulls each stretch its own way. The likelihood is divided by it.
 *
 * @param sums   of the last pass, with stretches, before priors are added
 * @param law    prior information of the parameters after all that is kept [1], as a diagonal
 * @param kept   number of leading parameters kept: knots and what stands beside them
 * @param prior  prior information of the knots, row-major
 * @source Sandwich covariance: P. J. Huber, Proc. Fifth Berkeley Symposium (1967) 221-233; as a scalar for a composite
 *   likelihood: C. Varin, N. Reid, D. Firth, Statistica Sinica 21 (2011) 5-42.
 */
export function misfitOf(sums: NormalSums, law: Float64Array, kept: number, prior: Float64Array): number {
  const cells = Math.round(Math.sqrt(prior.length));
  const { size } = sums;
  if (sums.stretches.length < 6) return 1;
  const matrix = Float64Array.from(sums.matrix);
  for (let k = kept; k < size; k++) matrix[k * size + k] = matrix[k * size + k]! + law[k - kept]!;
  // What is kept beside the knots is absent in the estimate, so it takes no part here.
  const order = [
    ...Array.from({ length: cells }, (_, k) => k),
    ...Array.from({ length: size - kept }, (_, k) => kept + k),
  ];
  const m = order.length;
  const used = new Float64Array(m * m);
  for (let r = 0; r < m; r++)
    for (let c = 0; c < m; c++) used[r * m + c] = matrix[order[r]! * size + order[c]!]!;
  const stretches = sums.stretches.map((stretch) => Float64Array.from(order, (k) => stretch[k]!));
  const whole = marginalise(used, stretches, m, cells);
  if (whole === null) return 1;
  const information = whole.matrix;
  const posterior = Float64Array.from(information, (value, i) => value + prior[i]!);
  const factor = choleskyFactor(posterior, cells);
  if (factor === null) return 1;
  const covariance = choleskyInverse(factor, cells);
  let expected = 0;
  for (let r = 0; r < cells; r++)
    for (let c = 0; c < cells; c++) expected += covariance[r * cells + c]! * information[c * cells + r]!;
  // Each stretch's pull, the law's share taken off; their mean is what the prior holds back.
  const pulls = whole.vectors;
  const mean = new Float64Array(cells);
  for (const pull of pulls) for (let k = 0; k < cells; k++) mean[k] = mean[k]! + pull[k]! / pulls.length;
  let found = 0;
  for (const pull of pulls) {
    const off = pull.map((value, k) => value - mean[k]!);
    for (let r = 0; r < cells; r++) {
      let row = 0;
      for (let c = 0; c < cells; c++) row += covariance[r * cells + c]! * off[c]!;
      found += row * off[r]!;
    }
  }
  const ratio = (found * pulls.length) / (pulls.length - 1) / expected;
  return Math.max(1, ratio);
}
