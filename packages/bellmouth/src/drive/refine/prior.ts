import { type BudgetParts, budgetParts, smoothCorrelation, type TransferCurve } from "../../sensor/index.js";

/**
 * What every table may be off by even where its budget claims less [1]: each cell on its own, and smoothly over flow with a
 * correlation length of 1 in ln flow. Chosen, see docs/decisions/0008. Beside these the prior is the plan's budget, no more.
 */
export const STATED_FLOORS = { cell: 0.0007, smooth: 0.005, smoothLength: 1 } as const;

/** Prior covariance of ln(true flow / table flow), split so that its two parts can be scaled apart. Row-major. */
export interface PriorParts {
  readonly common: Float64Array;
  readonly shape: Float64Array;
  readonly own: Float64Array;
}

/** ln flow of the cells [1]; one at no flow stands half of the least flow below it. */
export function lnFlows({ cells }: TransferCurve): Float64Array {
  const least = (cells.find((cell) => cell.flow > 0) ?? cells[1]!).flow;
  return Float64Array.from(cells, ({ flow }) => Math.log(Math.max(flow, 0.5 * least)));
}

/**
 * Prior of a table's error: the covariance of its cells' budgets, the plan's own, and the stated floors.
 *
 * @returns covariance parts of the relative flow error [1] at the cells
 */
export function priorOf(curve: TransferCurve): PriorParts {
  const x = lnFlows(curve);
  const n = x.length;
  const { common, smooth, independent }: BudgetParts = budgetParts(curve, { places: x });
  for (let i = 0; i < n; i++) {
    for (let j = 0; j < n; j++)
      smooth[i * n + j] =
        smooth[i * n + j]! +
        STATED_FLOORS.smooth ** 2 * smoothCorrelation(x[i]!, x[j]!, STATED_FLOORS.smoothLength);
    independent[i * n + i] = independent[i * n + i]! + STATED_FLOORS.cell ** 2;
  }
  return { common, shape: smooth, own: independent };
}

/** The prior with its common and shape parts scaled by variance factors. */
export function scaledPrior(parts: PriorParts, common: number, shape: number): Float64Array {
  const out = new Float64Array(parts.common.length);
  for (let i = 0; i < out.length; i++)
    out[i] = common * parts.common[i]! + shape * parts.shape[i]! + parts.own[i]!;
  return out;
}
