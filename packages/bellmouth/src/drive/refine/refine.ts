import type { TransferCurve } from "../../sensor/index.js";
import type { Drive } from "../drive.js";
import { choleskyFactor, choleskySolve } from "./cholesky.js";
import { emptySums, mergeSums, sumsOf } from "./drive-sums.js";
import { explain, posteriorOver, prepareForm, priorBasis } from "./posterior.js";
import { knotPrior } from "./prior.js";
import { knotCount, referenceOf } from "./reference.js";
import { solveRefinement } from "./solve.js";
import { countOnce, totalsOf, wide } from "./totals.js";
import type { RefineOptions, RefineResult, RefineSums } from "./types.js";

/**
 * Refines a table from drives made with it.
 *
 * @param curve  the table in the ECU during the drives; its error budgets are the prior
 * @param drives channels in SI
 * @returns refined table with intervals, verdicts and what to drive next; drives that cannot be used are listed with reasons
 * @throws `E_DOMAIN` or `E_SHAPE` on options
 */
export function refine(
  curve: TransferCurve,
  drives: readonly Drive[],
  options: RefineOptions = {},
): RefineResult {
  return solveRefinement(options.reference ?? curve, summedUp(curve, drives, options), options);
}

const summedUp = (curve: TransferCurve, drives: readonly Drive[], options: RefineOptions): RefineSums =>
  drives
    .map((drive) => sumsOf(drive, curve, options))
    .reduce(mergeSums, emptySums(options.reference ?? curve));

/**
 * Fuel asked for over fuel delivered, from drives with the old meter and its own table: what the fuel side gets wrong shows there too,
 * and cancels in the refinement of the new table.
 *
 * @param curve  the old meter's table, with its own error budgets (they limit what can be known)
 * @param drives drives made with the old meter, same injectors, pressure and fuel
 * @returns ln ratio [1] and its standard uncertainty, for `RefineOptions.fuelScale`; null when no drive could be used
 */
export function fuelScaleOf(
  curve: TransferCurve,
  drives: readonly Drive[],
  options: RefineOptions = {},
): { readonly value: number; readonly u: number } | null {
  return fuelScaleFrom(curve, summedUp(curve, drives, options), options);
}

/**
 * {@link fuelScaleOf} from sums, for logs read elsewhere.
 *
 * @returns ln ratio [1] and its standard uncertainty [1]; null when no drive could be used
 */
export function fuelScaleFrom(
  curve: TransferCurve,
  sums: RefineSums,
  options: RefineOptions = {},
): { readonly value: number; readonly u: number } | null {
  const { drives } = countOnce(sums);
  if (drives.length === 0) return null;
  const n = knotCount;
  const { parts } = knotPrior(curve, options, referenceOf(curve).x);
  const totals = totalsOf(drives, new Float64Array(n), true);
  const matrix = new Float64Array(n * n);
  for (let r = 0; r < n; r++) for (let c = 0; c < n; c++) matrix[r * n + c] = totals.matrix[r * wide + c]!;
  // The fuel's factor is one more common part, wide next to the old table's own.
  const wideFactor = 0.15 ** 2;
  const prior = parts.common.map((value, i) => value + parts.shape[i]! + wideFactor);
  const basis = priorBasis({ common: new Float64Array(n * n), shape: prior }, n);
  if (basis === null) return null;
  const form = { matrix, vector: totals.vector.slice(0, n), logEvidence: 0 };
  const posterior = posteriorOver([{ one: explain(prepareForm(basis, form), null), lnWeight: 0 }]);
  const { solved, variance } = commonGiven(prior, posterior.mean, posterior.covariance, wideFactor, n);
  return { value: solved, u: Math.sqrt(variance) };
}

/** Mean and variance of the wide common factor given the posterior of (common + table error): regression of one on the other. */
function commonGiven(
  prior: Float64Array,
  mean: Float64Array,
  covariance: Float64Array,
  wide: number,
  n: number,
): { readonly solved: number; readonly variance: number } {
  const weights = solveSymmetric(prior, n, wide);
  let solved = 0;
  let variance = wide;
  for (let i = 0; i < n; i++) {
    solved += weights[i]! * mean[i]!;
    variance -= weights[i]! * wide;
    for (let j = 0; j < n; j++) variance += weights[i]! * covariance[i * n + j]! * weights[j]!;
  }
  return { solved, variance: Math.max(0, variance) };
}

function solveSymmetric(prior: Float64Array, n: number, wide: number): Float64Array {
  const factor = choleskyFactor(prior, n);
  const ones = new Float64Array(n).fill(wide);
  return factor === null ? new Float64Array(n) : choleskySolve(factor, n, ones);
}
