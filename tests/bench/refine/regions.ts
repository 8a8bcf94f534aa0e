import type { SimulatedDrive } from "@bellmouth/simulator";
import type { TransferCurve } from "bellmouth/sensor";
import { WARM_COOLANT, weightsAt } from "./driven-cells.js";

/** Where a cell was driven: by standing idle, under high load, or in between; or not at all, above or below the last driven cell. */
export const regions = ["idle", "light load", "high load", "above", "not driven"] as const;
export type Region = (typeof regions)[number];

/** Mean manifold over outside pressure from which a cell counts as driven under high load [1]. */
const HIGH_LOAD = 0.8;
/** Road speed below which the car stands [m/s]. */
const STANDING = 0.5;

/** From the truth, the same for every method: warm, fuelled time near each cell, standing, and its mean pressure ratio. */
export function regionsOf(
  table: TransferCurve,
  drives: readonly SimulatedDrive[],
  driven: readonly boolean[],
): Region[] {
  const sums = table.cells.map(() => ({ time: 0, standing: 0, load: 0 }));
  for (const { columns, truth } of drives) {
    const { time, signal, coolant, vehicleSpeed, manifoldPressure, barometer } = columns;
    for (let i = 0; i + 1 < time.length; i++) {
      if (truth.fuelled[i] !== 1 || !(coolant[i]! > WARM_COOLANT)) continue;
      const { cell, share } = weightsAt(table, signal[i]!);
      const sum = sums[share < 0.5 ? cell : cell + 1]!;
      const span = Math.min(0.5, time[i + 1]! - time[i]!);
      sum.time += span;
      if (vehicleSpeed[i]! < STANDING) sum.standing += span;
      sum.load += (span * manifoldPressure[i]!) / barometer[i]!;
    }
  }
  const last = driven.lastIndexOf(true);
  return sums.map(({ time, standing, load }, i) => {
    if (driven[i] !== true) return i > last ? "above" : "not driven";
    if (load / time > HIGH_LOAD) return "high load";
    return standing > 0.5 * time ? "idle" : "light load";
  });
}
