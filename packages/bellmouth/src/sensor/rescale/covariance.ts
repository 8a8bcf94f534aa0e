import { requireNumber } from "../../fault/index.js";
import type { BudgetComponent, TransferCurve } from "../transfer-curve.js";

/**
 * How a component's error runs over a curve's cells. "common": one error for all (a bore is wrong by the same at every
 * flow). A number: smooth, its correlation length in ln flow [1]. "independent": each cell has its own.
 */
export type Correlation = "common" | "independent" | number;

/** Correlation length of a profile law's own error, in ln Re and so in ln flow [1]: a factor of 1.65 in flow. */
export const PROFILE_LENGTH = 0.5;

/**
 * The one structure of the uncertainty budget: first-order propagation, Monte Carlo and the prior of a refinement read it here.
 * Every component has its place by type. The lengths are judgements (chosen, see docs/decisions/0008): the profile's follows the
 * wiggles that the measured pipe ratios leave about the fit (a short housing's drifts more slowly: the short length is the cautious
 * side); what is ahead (installation), an element and a table's own accuracy drift over a whole table; a law's error bends once or
 * twice over one.
 */
export const COMPONENT_CORRELATION: { readonly [component in BudgetComponent]: Correlation } = {
  bore: "common",
  blockage: "common",
  element: 2,
  profile: PROFILE_LENGTH,
  installation: 2,
  law: 0.7,
  refinement: 0.5,
  regrid: "independent",
  storage: "independent",
};

/** The budget's components, in the order of their structure. */
export const BUDGET_COMPONENTS = Object.keys(COMPONENT_CORRELATION) as readonly BudgetComponent[];

/** Share of the rougher kernel in a smooth error [1]. */
const ROUGHER = 0.2;

/**
 * Correlation [1] of two cells a distance apart in ln flow; cells at no flow share nothing with others. A squared exponential with a
 * fifth of a Matern 3/2, so that the model does not rest on infinite smoothness.
 *
 * @source C. E. Rasmussen, C. K. I. Williams, Gaussian Processes for Machine Learning (2006), section 4.2.
 */
export const smoothCorrelation = (a: number, b: number, length: number): number => {
  if (a === b) return 1;
  const d = Math.abs(a - b) / length;
  if (!Number.isFinite(d)) return 0;
  const r = Math.sqrt(3) * d;
  return (1 - ROUGHER) * Math.exp(-0.5 * d * d) + ROUGHER * (1 + r) * Math.exp(-r);
};

/** Covariances of ln flow [1], row-major, by how they run over flow. */
export interface BudgetParts {
  readonly common: Float64Array;
  readonly smooth: Float64Array;
  readonly independent: Float64Array;
}

export interface BudgetOptions {
  /** ln flow [1] of the places wanted; the cells' own when left out. Between cells a component's uncertainty runs straight in ln flow. */
  readonly places?: ArrayLike<number>;
  /** Other structure for some components. */
  readonly correlation?: { readonly [component in BudgetComponent]?: Correlation };
}

/** A place among the cells: its left cell and the share of the way to the next [1]. */
interface Between {
  readonly cell: number;
  readonly share: number;
}

function between(lnFlow: readonly number[], x: number): Between {
  const last = lnFlow.length - 1;
  let cell = 0;
  while (cell < last - 1 && x >= (lnFlow[cell + 1] as number)) cell++;
  const [left, right] = [lnFlow[cell] as number, lnFlow[cell + 1] as number];
  if (x === left) return { cell, share: 0 };
  // A cell at no flow lies infinitely far off: nothing on its right belongs to it.
  return { cell, share: Number.isFinite(left) ? Math.min(1, Math.max(0, (x - left) / (right - left))) : 1 };
}

/**
 * Covariance of ln flow from the cells' uncertainty budgets, in three parts that add: this is what the plan knows of the curve before any
 * drive, and the prior of a refinement. At a cell the parts' variances add to the square of the cell's combined uncertainty.
 *
 * @param curve   cells with their budgets
 * @param options places other than the cells, other structure
 * @throws `E_DOMAIN` on a length that is not positive
 */
export function budgetParts(curve: TransferCurve, options: BudgetOptions = {}): BudgetParts {
  const { cells } = curve;
  const lnFlow = cells.map(({ flow }) => Math.log(flow));
  const places = Array.from(options.places ?? lnFlow);
  const where: readonly Between[] =
    options.places === undefined
      ? cells.map((_, i) => (i === 0 ? { cell: 0, share: 0 } : { cell: i - 1, share: 1 }))
      : places.map((x) => between(lnFlow, x));
  const n = places.length;
  const parts: BudgetParts = {
    common: new Float64Array(n * n),
    smooth: new Float64Array(n * n),
    independent: new Float64Array(n * n),
  };
  for (const component of BUDGET_COMPONENTS) {
    const how = options.correlation?.[component] ?? COMPONENT_CORRELATION[component];
    if (typeof how === "number") requireNumber(how, `options.${component}`, "1", { over: 0 });
    const u = cells.map(({ budget }) => budget[component] ?? 0);
    if (u.every((part) => part === 0)) continue;
    const uAt = where.map(
      ({ cell, share }) => (1 - share) * (u[cell] as number) + share * (u[cell + 1] as number),
    );
    const into = parts[typeof how === "number" ? "smooth" : how];
    for (let i = 0; i < n; i++)
      for (let j = 0; j < n; j++) {
        const both = (uAt[i] as number) * (uAt[j] as number);
        const share =
          how === "common"
            ? both
            : how === "independent"
              ? ownCovariance(where[i] as Between, where[j] as Between, u)
              : both * smoothCorrelation(places[i] as number, places[j] as number, how);
        into[i * n + j] = (into[i * n + j] as number) + share;
      }
  }
  return parts;
}

/** Covariance of two places whose cells err each on its own: the straight line between cells carries both ends' errors. */
function ownCovariance(a: Between, b: Between, u: readonly number[]): number {
  const weight = ({ cell, share }: Between, k: number): number =>
    k === cell ? 1 - share : k === cell + 1 ? share : 0;
  let sum = 0;
  for (const k of [a.cell, a.cell + 1]) sum += weight(a, k) * weight(b, k) * (u[k] as number) ** 2;
  return sum;
}

/**
 * {@link budgetParts} at the cells, added up: row i, column j [1].
 *
 * @param curve   cells with their budgets
 * @param options other structure for some components, for example `{ element: "common" }` for an element whose error does
 *   not depend on flow; lengths in ln flow [1] > 0
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
  const { common, smooth, independent } = budgetParts(curve, { correlation: options });
  const n = curve.cells.length;
  return curve.cells.map((_, i) =>
    Array.from(
      { length: n },
      (__, j) =>
        (common[i * n + j] as number) + (smooth[i * n + j] as number) + (independent[i * n + j] as number),
    ),
  );
}
