import type { TransferCurve } from "../../sensor/index.js";
import { choleskyFactor } from "./cholesky.js";
import { meanBy } from "./posterior.js";
import { knotPrior } from "./prior.js";
import { knotCount, referenceOf } from "./reference.js";
import { countOnce, knotTotals } from "./totals.js";
import type { RefineOptions, RefineSums } from "./types.js";

interface Prior {
  readonly mean: Float64Array;
  readonly factor: Float64Array | null;
}

/** Priors of tables from their budgets alone: a long log asks for the same one at every piece. */
const known = new WeakMap<TransferCurve, Prior>();

function priorOfCurve(curve: TransferCurve, options: RefineOptions): Prior {
  const usual = options.prior === undefined && options.fuelScale === undefined;
  const made = usual ? known.get(curve) : undefined;
  if (made !== undefined) return made;
  const { mean, parts } = knotPrior(curve, options, referenceOf(curve).x);
  const whole = parts.shape.map((value, i) => value + parts.common[i]!);
  const prior: Prior = { mean, factor: choleskyFactor(whole, knotCount) };
  if (usual) known.set(curve, prior);
  return prior;
}

/** ln(true/reference flow) at the knots as far as known [1], by the unscaled prior: where the next drive's fit begins. */
export function meanCurve(curve: TransferCurve, sums: RefineSums, options: RefineOptions): Float64Array {
  const { mean, factor } = priorOfCurve(curve, options);
  if (factor === null) return mean;
  const { matrix, vector } = knotTotals(countOnce(sums).drives, mean);
  const moved = meanBy(factor, matrix, vector, knotCount);
  return moved.map((value, k) => value + mean[k]!);
}
