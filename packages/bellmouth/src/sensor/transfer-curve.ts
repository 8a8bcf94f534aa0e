import { type Curve, makeCurve, type Outside } from "../curve/index.js";
import { BellmouthError, requireNumber } from "../fault/index.js";

/** What the sensor puts out. Signals are in Hz or V. */
export type SignalKind = "frequency" | "voltage";

/** Where a cell's value came from. */
export const CELL_ORIGINS = ["measured", "rescaled", "fitted", "extrapolated", "refined"] as const;
export type CellOrigin = (typeof CELL_ORIGINS)[number];

/**
 * Components of a cell's error budget.
 * bore: tolerance of the bore(s) · blockage: area taken by the probe · profile: the profile factor, with the distance in
 * which the wall layer grew · installation: what stands ahead of the housing, and its joint ·
 * element: unit-to-unit tolerance of the element, or the given table's own accuracy · law: interpolation or
 * extrapolation by a transfer law · regrid: straight line against the curve · storage: rounding to the ECU's
 * number format · refinement: what is left after refining from drives.
 */
export type BudgetComponent =
  | "bore"
  | "blockage"
  | "profile"
  | "installation"
  | "element"
  | "law"
  | "regrid"
  | "storage"
  | "refinement";

/** Relative standard uncertainty of flow [1] by component; components combine in quadrature. */
export type ErrorBudget = { readonly [component in BudgetComponent]?: number };

/** Conditions of a cell that a person should know of. */
export const CELL_FLAGS = [
  "extrapolated", // past the last measured cell
  "transition", // behind a long pipe, Re 2,000 to 4,000: the profile factor is uncertain by tens of percent
  "clipped", // the ECU's storage could not hold the value
  "not increasing", // not above its left neighbour
  "reads low", // executed flow below the curve by more than the stated uncertainty: lean
  "biased rich", // raised on request by k standard uncertainties
  "no evidence", // refinement: moved only with the prior
] as const;
export type CellFlag = (typeof CELL_FLAGS)[number];

export interface TransferCell {
  /** [Hz] or [V], by the curve's signal kind */
  readonly signal: number;
  /** [kg/s] */
  readonly flow: number;
  readonly origin: CellOrigin;
  readonly budget: ErrorBudget;
  readonly flags: readonly CellFlag[];
}

/**
 * Transfer curve of a mass-airflow meter in its housing: signal -> mass flow, joined by straight lines as the ECU
 * does. Plain JSON-ready data; make it with `makeTransferCurve`.
 */
export interface TransferCurve {
  readonly kind: "transfer curve";
  readonly signal: SignalKind;
  /** Strictly increasing in signal; flow >= 0 and strictly increasing. At least two. */
  readonly cells: readonly TransferCell[];
  readonly outside: Outside;
}

/**
 * Checks and marks a transfer curve.
 *
 * @param curve signals [Hz] or [V] strictly increasing and >= 0; flows [kg/s] >= 0 and strictly increasing
 * @throws `E_SHAPE` under two cells, `E_ORDER` on order, `E_DOMAIN` on NaN, infinities and negatives
 */
export function makeTransferCurve(curve: Omit<TransferCurve, "kind">): TransferCurve {
  if (curve.cells.length < 2) {
    throw new BellmouthError({
      code: "E_SHAPE",
      message: "a transfer curve needs at least two cells",
      found: `${curve.cells.length}`,
      accepted: "two or more cells",
      at: { path: "cells" },
    });
  }
  const unit = curve.signal === "frequency" ? "Hz" : "V";
  curve.cells.forEach((cell, i) => {
    requireNumber(cell.signal, `cells[${i}].signal`, unit, { from: 0 });
    requireNumber(cell.flow, `cells[${i}].flow`, "kg/s", { from: 0 });
    const left = curve.cells[i - 1];
    if (left === undefined) return;
    if (!(cell.signal > left.signal) || !(cell.flow > left.flow)) {
      const which = cell.signal > left.signal ? "flow" : "signal";
      throw new BellmouthError({
        code: "E_ORDER",
        message: `${which} must be strictly increasing from cell to cell`,
        found: `${cell[which]} after ${left[which]}`,
        accepted: `a ${which} above ${left[which]} ${which === "flow" ? "kg/s" : unit}`,
        at: { path: `cells[${i}].${which}` },
      });
    }
  });
  return { kind: "transfer curve", ...curve };
}

/** The transfer curve as a plain curve: x [Hz] or [V], y [kg/s], straight lines. */
export function asCurve(curve: TransferCurve): Curve {
  return makeCurve({
    x: { quantity: curve.signal, values: curve.cells.map((cell) => cell.signal) },
    y: { quantity: "mass flow", values: curve.cells.map((cell) => cell.flow) },
    between: "straight",
    outside: curve.outside,
  });
}

/** Combined relative standard uncertainty [1] of a cell: root of the sum of squares of its components. */
export function combinedUncertainty(budget: ErrorBudget): number {
  let sum = 0;
  for (const part of Object.values(budget)) sum += (part ?? 0) ** 2;
  return Math.sqrt(sum);
}

/** Two budgets of the same cell joined: components of the same name combine in quadrature, as independent ones do. */
export function mergeBudgets(a: ErrorBudget, b: ErrorBudget): ErrorBudget {
  const joined: { [component in BudgetComponent]?: number } = { ...a };
  for (const [name, part] of Object.entries(b) as [BudgetComponent, number][]) {
    joined[name] = Math.hypot(joined[name] ?? 0, part);
  }
  return joined;
}
