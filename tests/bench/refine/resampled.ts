import { readCurve } from "@bellmouth/simulator";
import { makeTransferCurve, type TransferCurve } from "bellmouth/sensor";

/** The curve at evenly spaced signals over its own range. */
export function resampled(curve: TransferCurve, count: number): TransferCurve {
  const { flow } = readCurve(curve);
  const first = curve.cells[0]!.signal;
  const last = curve.cells[curve.cells.length - 1]!.signal;
  return makeTransferCurve({
    ...curve,
    cells: Array.from({ length: count }, (_, i) => {
      const signal = first + ((last - first) * i) / (count - 1);
      return { signal, flow: flow(signal), origin: "measured" as const, budget: {}, flags: [] };
    }),
  });
}
