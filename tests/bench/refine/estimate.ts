import type { SimulatedDrive } from "@bellmouth/simulator";
import { evidenced, refine } from "bellmouth/drive";
import type { TransferCurve } from "bellmouth/sensor";
import { driveOf } from "./drive-of.js";

/** What the score needs of a refinement. */
export interface Estimate {
  readonly flow: readonly number[];
  /** 95 % interval of each cell [kg/s]. */
  readonly interval: readonly (readonly [number, number])[];
  readonly evidenced: readonly boolean[];
  readonly verdict: string;
}

/** The refinement under test, given only the logs and the table. */
export function estimate(table: TransferCurve, logs: readonly SimulatedDrive["columns"][]): Estimate {
  const { cells, verdicts } = refine(
    table,
    logs.map((log, i) => driveOf(log, `log ${i + 1}`)),
  );
  return {
    flow: cells.map((cell) => cell.after),
    interval: cells.map((cell) => [cell.low, cell.high]),
    evidenced: cells.map(evidenced),
    verdict: verdicts.map(({ code }) => code).join(", "),
  };
}
