import type { TransferCurve } from "../../sensor/index.js";
import type { Drive } from "../drive.js";
import { cellForm } from "./cell-form.js";
import { choleskyFactor, choleskySolve } from "./cholesky.js";
import { emptySums, mergeSums, sumsOf } from "./drive-sums.js";
import { empiricalPosterior } from "./posterior.js";
import { partsOf, solveRefinement } from "./solve.js";
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
  const sums = drives.map((drive) => sumsOf(drive, curve, options)).reduce(mergeSums, emptySums(curve));
  return solveRefinement(curve, sums, options);
}

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
  const sums = drives.map((drive) => sumsOf(drive, curve, options)).reduce(mergeSums, emptySums(curve));
  return fuelScaleFrom(curve, sums, options);
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
  if (sums.drives.every((drive) => drive.refused !== null)) return null;
  const n = curve.cells.length;
  const { matrix, vector } = cellForm(sums);
  const parts = partsOf(curve, options);
  // The fuel's factor is one more common part, wide next to the old table's own.
  const wide = 0.15 ** 2;
  const prior = parts.common.map((value, i) => value + parts.shape[i]! + parts.own[i]! + wide);
  const zero = new Float64Array(n * n);
  const posterior = empiricalPosterior({ common: zero, shape: zero, own: prior }, matrix, vector, n);
  if (posterior === null) return null;
  const { solved, variance } = commonGiven(prior, posterior.mean, posterior.covariance, wide, n);
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
