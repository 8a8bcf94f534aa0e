import { makeTransferCurve, type SignalKind, type TransferCurve } from "bellmouth/sensor";

/**
 * A true curve after King's law with a signal that is linear in the bridge's output: flow = c (s - s0)^p, with an
 * optional ripple in ln flow from the housing's flow field.
 *
 * @source L. V. King, Phil. Trans. R. Soc. A 214 (1914) 373-432: E^2 = A + B G^n. Exponent and ripple are invented.
 */
export function trueCurve(shape: {
  readonly signal: SignalKind;
  readonly from: number;
  readonly to: number;
  readonly cells: number;
  /** Signal without flow. */
  readonly zero: number;
  readonly exponent: number;
  /** Flow at the last cell [kg/s]. */
  readonly fullFlow: number;
  readonly ripple: number;
}): TransferCurve {
  const full = (shape.to - shape.zero) ** shape.exponent;
  const cells = Array.from({ length: shape.cells }, (_, i) => {
    const signal = shape.from + ((shape.to - shape.from) * i) / (shape.cells - 1);
    const base = (shape.fullFlow * (signal - shape.zero) ** shape.exponent) / full;
    const flow = base * Math.exp(shape.ripple * Math.sin(2.2 * Math.log(base / shape.fullFlow)));
    return { signal, flow, origin: "measured" as const, budget: {}, flags: [] };
  });
  return makeTransferCurve({ signal: shape.signal, cells, outside: "extend" });
}
