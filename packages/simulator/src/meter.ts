import type { TransferCurve } from "bellmouth/sensor";
import { lineThrough } from "./interpolate.js";

/** Both directions of a transfer curve, straight lines, last segments carried on below and above. */
export function readCurve(curve: TransferCurve): {
  readonly flow: (signal: number) => number;
  readonly signal: (flow: number) => number;
} {
  const signals = curve.cells.map((cell) => cell.signal);
  const flows = curve.cells.map((cell) => cell.flow);
  const extended = (x: readonly number[], y: readonly number[]) => (at: number) => {
    const last = x.length - 1;
    if (at > x[last]!) {
      return y[last]! + ((at - x[last]!) * (y[last]! - y[last - 1]!)) / (x[last]! - x[last - 1]!);
    }
    return lineThrough(x, y, at);
  };
  return { flow: extended(signals, flows), signal: extended(flows, signals) };
}
