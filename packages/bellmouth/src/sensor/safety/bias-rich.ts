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
  /** flows from here on are raised by all of it [kg/s] */
  readonly from: MassFlow;
  /**
   * Flows from here to `from` are raised by a share that grows from none to all along ln(flow) [kg/s], so that the table gets
   * no step; half of `from` when left out.
   */
  readonly blendFrom?: MassFlow;
}

/** Share of the old distance to its left neighbour that a cell keeps when raising would have closed it. */
const LEAST_STEP = 0.1;

/**
 * Raises uncertain high-flow cells by k of their standard uncertainties, so that an engine errs on the rich side until
 * it is measured: more air reported is more fuel. Every cell raised is flagged `biased rich`. The bias blends in below
 * `from`, and the curve stays strictly increasing: where a sure cell follows an unsure one it is raised along. Where
 * mixture feedback is active its trims learn the bias out; it lasts where the ECU meters fuel without feedback.
 *
 * @param curve with its budgets
 * @param bias  k [1] and the flow [kg/s] from which on
 * @throws `E_DOMAIN` when k is negative or above 3, a flow is negative, or `blendFrom` is above `from`
 * @example
 * const cell = (signal: number, flow: number) => ({ signal, flow, origin: "rescaled", budget: { profile: 0.03 }, flags: [] });
 * const curve = makeTransferCurve({ signal: "voltage", outside: "hold", cells: [cell(1, 0.01), cell(4, 0.2)] });
 * biasRich(curve, { k: 1, from: kilogramsPerSecond(0.1) }).cells[1].flow // ≈ 0.206
 */
export function biasRich(curve: TransferCurve, bias: RichBias): TransferCurve {
  const k = requireNumber(bias.k, "bias.k", "1", { from: 0, to: 3 });
  const from = requireNumber(bias.from, "bias.from", "kg/s", { from: 0 });
  const blendFrom = requireNumber(bias.blendFrom ?? from / 2, "bias.blendFrom", "kg/s", {
    from: 0,
    to: from,
  });
  const share = (flow: number): number => {
    if (flow >= from) return 1;
    return flow > blendFrom && blendFrom > 0 ? Math.log(flow / blendFrom) / Math.log(from / blendFrom) : 0;
  };
  const cells: TransferCell[] = [];
  curve.cells.forEach((cell, i) => {
    const own = cell.flow * (1 + k * share(cell.flow) * combinedUncertainty(cell.budget));
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
