import type { SimulatedDrive } from "@bellmouth/simulator";
import type { TransferCurve } from "bellmouth/sensor";
import { WARM_COOLANT, weightsAt } from "./driven-cells.js";

/** Smallest number of rows that a cell needs to be corrected. */
const HITS = 10;

/**
 * The common practice, done carefully: every warm row gives a fuel error, lambda over its target times
 * (1 + short trim)(1 + long trim), at the moment it was logged; rows on overrun (closed throttle above idle speed) and rows
 * at the sensor's lean end (fuel cut still in the exhaust) are removed; the mean of each cell with ten hits multiplies the cell.
 *
 * @param binning `nearest` cell, or `weights`: each row shared between its two cells as the straight line does
 * @source common practice, no source
 */
export function cellAverage(
  table: TransferCurve,
  logs: readonly SimulatedDrive["columns"][],
  binning: "nearest" | "weights",
): number[] {
  const sums = new Float64Array(table.cells.length);
  const hits = new Float64Array(table.cells.length);
  for (const log of logs) {
    for (let i = 0; i < log.time.length; i++) {
      if (!(log.coolant[i]! > WARM_COOLANT)) continue;
      if (log.throttle[i]! < 0.01 && log.engineSpeed[i]! > 23) continue;
      if (!(log.lambda[i]! < 1.25)) continue;
      const error =
        (log.lambda[i]! / log.lambdaTarget[i]!) * (1 + log.shortTrim[i]!) * (1 + log.longTrim[i]!);
      const { cell, share } = weightsAt(table, log.signal[i]!);
      const right = binning === "weights" ? share : share < 0.5 ? 0 : 1;
      sums[cell]! += (1 - right) * error;
      hits[cell]! += 1 - right;
      sums[cell + 1]! += right * error;
      hits[cell + 1]! += right;
    }
  }
  return table.cells.map((cell, i) => cell.flow * (hits[i]! >= HITS ? sums[i]! / hits[i]! : 1));
}
