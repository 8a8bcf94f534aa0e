import { driveChannels, type SimulatedDrive } from "@bellmouth/simulator";
import { evidenced, type RefineOptions, type RefineResult, refine } from "bellmouth/drive";
import type { TransferCurve } from "bellmouth/sensor";

/** What the score needs of a refinement. */
export interface Estimate {
  readonly flow: readonly number[];
  /** 95 % interval of each cell [kg/s]. */
  readonly interval: readonly (readonly [number, number])[];
  readonly evidenced: readonly boolean[];
  readonly verdicts: readonly string[];
  readonly result: RefineResult;
}

/** The refinement under test, given only the logs and the table. */
export function estimate(
  table: TransferCurve,
  logs: readonly SimulatedDrive["columns"][],
  options: RefineOptions = {},
): Estimate {
  const result = refine(
    table,
    logs.map((log, i) => driveChannels(log, `log ${i + 1}`)),
    options,
  );
  return {
    flow: result.curve.cells.map((cell) => cell.flow),
    interval: result.cells.map((cell) => [cell.low, cell.high]),
    evidenced: result.cells.map(evidenced),
    verdicts: result.verdicts.map((verdict) => verdict.code),
    result,
  };
}
