import { requireNumber } from "../../fault/index.js";
import type { MassFlow } from "../../units/index.js";
import {
  combinedUncertainty,
  makeTransferCurve,
  type TransferCell,
  type TransferCurve,
} from "../transfer-curve.js";

/** A deliberate leaning to the rich side. */
export interface RichBias {
  /** by how many of its own standard uncertainties a cell's flow is raised [1] >= 0; 0 leaves the curve as it is */
  readonly k: number;
  /** flows from here on are raised [kg/s] */
  readonly from: MassFlow;
}

/** Share of the old distance to its left neighbour that a cell keeps when raising would have closed it. */
const LEAST_STEP = 0.1;

/**
 * Raises uncertain high-flow cells by k of their standard uncertainties, so that an engine errs on the rich side until
 * it is measured: more air reported is more fuel. Every cell raised is flagged `biased rich`. The curve stays strictly
 * increasing: where a sure cell follows an unsure one it is raised along.
 *
 * @param curve with its budgets
 * @param bias  k [1] and the flow [kg/s] from which on
 * @throws `E_DOMAIN` when k is negative or above 3, or the flow is negative
 * @example
 * const cell = (signal: number, flow: number) => ({ signal, flow, origin: "rescaled", budget: { profile: 0.03 }, flags: [] });
 * const curve = makeTransferCurve({ signal: "voltage", outside: "hold", cells: [cell(1, 0.01), cell(4, 0.2)] });
 * biasRich(curve, { k: 1, from: kilogramsPerSecond(0.1) }).cells[1].flow // ≈ 0.206
 */
export function biasRich(curve: TransferCurve, bias: RichBias): TransferCurve {
  const k = requireNumber(bias.k, "bias.k", "1", { from: 0, to: 3 });
  const from = requireNumber(bias.from, "bias.from", "kg/s", { from: 0 });
  const cells: TransferCell[] = [];
  curve.cells.forEach((cell, i) => {
    const own = cell.flow >= from ? cell.flow * (1 + k * combinedUncertainty(cell.budget)) : cell.flow;
    const left = cells[i - 1];
    const oldLeft = curve.cells[i - 1];
    const least =
      left === undefined || oldLeft === undefined ? 0 : left.flow + LEAST_STEP * (cell.flow - oldLeft.flow);
    const flow = Math.max(own, k > 0 && (left?.flow ?? 0) > (oldLeft?.flow ?? 0) ? least : 0);
    cells.push(
      flow > cell.flow
        ? { ...cell, flow, flags: [...cell.flags.filter((flag) => flag !== "biased rich"), "biased rich"] }
        : cell,
    );
  });
  return makeTransferCurve({ signal: curve.signal, outside: curve.outside, cells });
}
