import { requireNumber } from "../../fault/index.js";
import type { BudgetComponent, TransferCurve } from "../transfer-curve.js";
import { PROFILE_LENGTH } from "./cell-budget.js";

/**
 * How a component's error runs over a curve's cells. "common": one error for all (a bore is wrong by the same at every
 * flow). A number: smooth, its correlation length in ln flow [1]. "independent": each cell has its own.
 */
export type Correlation = "common" | "independent" | number;

/**
 * The structure taken where the caller names none. The lengths are judgements: the profile's follows the wiggles that the
 * measured pipe ratios leave about the fit, a development drifts over a few octaves of flow, a law's error bends once or
 * twice over a table.
 */
export const COMPONENT_CORRELATION: { readonly [component in BudgetComponent]: Correlation } = {
  bore: "common",
  blockage: "common",
  element: "common",
  profile: PROFILE_LENGTH,
  development: 1.5,
  law: 0.7,
  refinement: 0.5,
  regrid: "independent",
  storage: "independent",
};

/** Correlation [1] of two cells a distance apart in ln flow; cells at no flow share nothing with others. */
export const smoothCorrelation = (a: number, b: number, length: number): number =>
  a === b ? 1 : Number.isFinite(a - b) ? Math.exp(-0.5 * ((a - b) / length) ** 2) : 0;

/**
 * Covariance matrix of ln flow over a curve's cells [1], from their error budgets: row i, column j. This is what the plan
 * knows of the curve before any drive, and the prior of a refinement.
 *
 * @param curve   cells with their budgets
 * @param options other structure for some components, for example `{ element: 2 }` for an element whose error drifts over
 *   flow; lengths in ln flow [1] > 0
 * @throws `E_DOMAIN` on a length that is not positive
 * @example
 * const cell = (signal: number, flow: number) =>
 *   ({ signal, flow, origin: "rescaled", budget: { bore: 0.003, storage: 0.004 }, flags: [] });
 * const cells = [cell(2000, 0.01), cell(3000, 0.05)];
 * const curve = makeTransferCurve({ signal: "frequency", outside: "hold", cells });
 * budgetCovariance(curve)[0][0] // ≈ 0.000025
 * budgetCovariance(curve)[0][1] // ≈ 0.000009
 */
export function budgetCovariance(
  curve: TransferCurve,
  options: { readonly [component in BudgetComponent]?: Correlation } = {},
): number[][] {
  const lnFlow = curve.cells.map(({ flow }) => Math.log(flow));
  const matrix = curve.cells.map(() => new Array<number>(curve.cells.length).fill(0));
  for (const component of Object.keys(COMPONENT_CORRELATION) as BudgetComponent[]) {
    const how = options[component] ?? COMPONENT_CORRELATION[component];
    if (typeof how === "number") requireNumber(how, `options.${component}`, "1", { over: 0 });
    const u = curve.cells.map(({ budget }) => budget[component] ?? 0);
    if (u.every((part) => part === 0)) continue;
    matrix.forEach((row, i) => {
      for (let j = 0; j < row.length; j++) {
        const share =
          how === "common"
            ? 1
            : how === "independent"
              ? Number(i === j)
              : smoothCorrelation(lnFlow[i] as number, lnFlow[j] as number, how);
        row[j] = (row[j] as number) + (u[i] as number) * (u[j] as number) * share;
      }
    });
  }
  return matrix;
}
