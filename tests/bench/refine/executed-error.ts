import { readCurve } from "@bellmouth/simulator";
import type { TransferCurve } from "bellmouth/sensor";
import type { PlayedCase } from "./cases.js";
import { WARM_COOLANT } from "./driven-cells.js";

/** Rms over the warm, fuelled time of ln(flow that the table gives / true flow) at the signals that were met [1]. */
export function executedError({ simulated, truth }: PlayedCase, table: TransferCurve): number {
  const given = readCurve(table);
  const right = readCurve(truth);
  let [sum, time] = [0, 0];
  for (const drive of simulated) {
    const { columns } = drive;
    for (let i = 0; i + 1 < columns.time.length; i++) {
      if (drive.truth.fuelled[i] !== 1 || !(columns.coolant[i]! > WARM_COOLANT)) continue;
      const span = Math.min(0.5, columns.time[i + 1]! - columns.time[i]!);
      sum += span * Math.log(given.flow(columns.signal[i]!) / right.flow(columns.signal[i]!)) ** 2;
      time += span;
    }
  }
  return Math.sqrt(sum / time);
}
