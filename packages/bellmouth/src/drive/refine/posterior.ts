import { choleskyFactor, choleskyInverse, choleskySolve, logDeterminant } from "./cholesky.js";
import { type PriorParts, scaledPrior } from "./prior.js";
import { addScaled } from "./series.js";

export interface Posterior {
  readonly mean: Float64Array;
  readonly covariance: Float64Array;
  /** Prior covariance used, after its scales were estimated. */
  readonly prior: Float64Array;
  /** Variance factors of the prior's common and shape parts [1]. */
  readonly scales: { readonly common: number; readonly shape: number };
  readonly logEvidence: number;
}

/** A posterior up to its covariance: the factor of the prior, that of I + L'AL, and their solutions. */
interface Solved {
  readonly L: Float64Array;
  readonly factor: Float64Array;
  readonly z: Float64Array;
  readonly logEvidence: number;
}

/**
 * Posterior of a Gaussian prior N(0, S) and a quadratic log likelihood -x'Ax/2 + b'x, through the factor of S: sound also where S
 * is close to singular and where A is.
 */
export function posteriorOf(
  prior: Float64Array,
  matrix: Float64Array,
  vector: Float64Array,
  n: number,
): { mean: Float64Array; covariance: Float64Array; logEvidence: number } | null {
  const solved = solve(prior, matrix, vector, n);
  return solved === null ? null : { ...spread(solved, n), logEvidence: solved.logEvidence };
}

/** Mean alone of `posteriorOf`, which is what most of its time is not spent on. */
export function posteriorMean(
  prior: Float64Array,
  matrix: Float64Array,
  vector: Float64Array,
  n: number,
): Float64Array | null {
  const solved = solve(prior, matrix, vector, n);
  return solved === null ? null : meanOf(solved, n);
}

function meanOf({ L, z }: Solved, n: number): Float64Array {
  const mean = new Float64Array(n);
  for (let r = 0; r < n; r++) {
    let sum = 0;
    for (let k = 0; k <= r; k++) sum += L[r * n + k]! * z[k]!;
    mean[r] = sum;
  }
  return mean;
}

function solve(prior: Float64Array, matrix: Float64Array, vector: Float64Array, n: number): Solved | null {
  const L = choleskyFactor(prior, n);
  if (L === null) return null;
  // W = I + L'AL and L'b; row by row, as the arrays lie in memory
  const AL = new Float64Array(n * n);
  for (let r = 0; r < n; r++)
    for (let k = 0; k < n; k++) addRow(AL, r * n, matrix[r * n + k]!, L, k * n, k + 1);
  const W = new Float64Array(n * n);
  const d = new Float64Array(n);
  for (let k = 0; k < n; k++)
    for (let r = 0; r <= k; r++) {
      const l = L[k * n + r]!;
      addRow(W, r * n, l, AL, k * n, r + 1);
      d[r] = d[r]! + l * vector[k]!;
    }
  for (let r = 0; r < n; r++) W[r * n + r] = W[r * n + r]! + 1;
  const factor = choleskyFactor(W, n);
  if (factor === null) return null;
  const z = choleskySolve(factor, n, d);
  let half = 0;
  for (let k = 0; k < n; k++) half += d[k]! * z[k]!;
  return { L, factor, z, logEvidence: 0.5 * half - 0.5 * logDeterminant(factor, n) };
}

/** into[at …] + factor * row[from …], `count` numbers, in place. */
function addRow(
  into: Float64Array,
  at: number,
  factor: number,
  row: Float64Array,
  from: number,
  count: number,
): void {
  for (let c = 0; c < count; c++) into[at + c] = into[at + c]! + factor * row[from + c]!;
}

/** Mean and covariance of what was solved. */
function spread(solved: Solved, n: number): { mean: Float64Array; covariance: Float64Array } {
  const { L, factor } = solved;
  const inverse = choleskyInverse(factor, n);
  const LI = new Float64Array(n * n);
  const covariance = new Float64Array(n * n);
  for (let r = 0; r < n; r++)
    for (let k = 0; k <= r; k++) addRow(LI, r * n, L[r * n + k]!, inverse, k * n, n);
  for (let r = 0; r < n; r++)
    for (let c = 0; c < n; c++) {
      let s = 0;
      for (let k = 0; k <= c; k++) s += LI[r * n + k]! * L[c * n + k]!;
      covariance[r * n + c] = s;
    }
  return { mean: meanOf(solved, n), covariance };
}

const factors = [0.25, 0.5, 1, 2, 4, 8] as const;

/** ln evidence with the prior of its scales. */
export const weighed = ({ logEvidence, scales }: Pick<Posterior, "logEvidence" | "scales">): number =>
  logEvidence - 0.5 * (Math.log(scales.common) ** 2 + Math.log(scales.shape) ** 2);

/** A scale this much less likely than the best takes no part in the mean [ln]. */
const negligible = 8;

/**
 * Posterior with the prior's two scales weighed by their evidence, held to a factor of thirty in variance and drawn
 * towards 1: the plan's budget is a statement, not a law. The scales are averaged over, not chosen: one drive hardly tells them,
 * and what it leaves open belongs into the intervals.
 *
 * @returns mean and covariance over all scales; the most likely scales and their evidence
 */
export function empiricalPosterior(
  parts: PriorParts,
  matrix: Float64Array,
  vector: Float64Array,
  n: number,
): Posterior | null {
  const candidates: Candidate[] = [];
  for (const common of factors)
    for (const shape of factors) {
      const prior = scaledPrior(parts, common, shape);
      const solved = solve(prior, matrix, vector, n);
      if (solved === null) continue;
      candidates.push({ solved, prior, scales: { common, shape }, logEvidence: solved.logEvidence });
    }
  return candidates.length === 0 ? null : averaged(candidates, n);
}

interface Candidate extends Pick<Posterior, "prior" | "scales" | "logEvidence"> {
  readonly solved: Solved;
}

/** Mean, covariance and prior over the candidates, each as likely as its evidence says. */
function averaged(candidates: readonly Candidate[], n: number): Posterior {
  const best = candidates.reduce((a, b) => (weighed(b) > weighed(a) ? b : a));
  const top = weighed(best);
  const likely = candidates
    .filter((candidate) => weighed(candidate) > top - negligible)
    .map((candidate) => ({ ...candidate, ...spread(candidate.solved, n) }));
  const weights = likely.map((candidate) => Math.exp(weighed(candidate) - top));
  const whole = weights.reduce((sum, weight) => sum + weight, 0);
  const mean = new Float64Array(n);
  const covariance = new Float64Array(n * n);
  const prior = new Float64Array(n * n);
  likely.forEach((candidate, c) => {
    addScaled(mean, weights[c]! / whole, candidate.mean);
  });
  likely.forEach((candidate, c) => {
    const weight = weights[c]! / whole;
    addScaled(covariance, weight, candidate.covariance);
    addScaled(prior, weight, candidate.prior);
    const off = candidate.mean.map((value, i) => value - mean[i]!);
    for (let r = 0; r < n; r++)
      for (let k = 0; k < n; k++) covariance[r * n + k] = covariance[r * n + k]! + weight * off[r]! * off[k]!;
  });
  const { scales, logEvidence } = best;
  return { scales, logEvidence, mean, covariance, prior };
}
