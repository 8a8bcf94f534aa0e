import type { SimulatedDrive } from "@bellmouth/simulator";
import type { TransferCurve } from "bellmouth/sensor";

/** Warm enough for anyone's practice: 70 degC [K]. */
export const WARM_COOLANT = 343.15;

/**
 * Which cells a drive has driven, counted from the truth and the same for every method: a cell counts when it
 * collects at least one second of warm, fuelled driving with its signal nearest to that cell. One second at 10 Hz is ten
 * rows, so that the common practice has the ten hits it asks for.
 */
export function drivenCells(table: TransferCurve, drives: readonly SimulatedDrive[]): boolean[] {
  const seconds = new Float64Array(table.cells.length);
  for (const drive of drives) {
    const { time, signal, coolant } = drive.columns;
    for (let i = 0; i + 1 < time.length; i++) {
      if (drive.truth.fuelled[i] !== 1 || !(coolant[i]! > WARM_COOLANT)) continue;
      const { cell, share } = weightsAt(table, signal[i]!);
      const span = Math.min(0.5, time[i + 1]! - time[i]!);
      seconds[share < 0.5 ? cell : cell + 1]! += span;
    }
  }
  return Array.from(seconds, (value) => value >= 1);
}

/** Left cell and share of the right one at a signal, ends held. */
export function weightsAt(table: TransferCurve, signal: number): { cell: number; share: number } {
  const { cells } = table;
  let low = 0;
  let high = cells.length - 1;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (cells[middle]!.signal <= signal) low = middle;
    else high = middle;
  }
  const share = (signal - cells[low]!.signal) / (cells[high]!.signal - cells[low]!.signal);
  return { cell: low, share: Math.min(1, Math.max(0, share)) };
}
