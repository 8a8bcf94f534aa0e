import type { SimulatedDrive } from "@bellmouth/simulator";
import * as library from "bellmouth/drive";
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

/** The refinement under test, given only the logs and the table; undefined while there is none. */
export function estimate(
  table: TransferCurve,
  logs: readonly SimulatedDrive["columns"][],
): Estimate | undefined {
  const refine = (library as Record<string, unknown>)["refine"] as
    | ((
        curve: TransferCurve,
        drives: readonly library.Drive[],
        options: object,
      ) => {
        readonly cells: readonly {
          readonly flow: number;
          readonly interval: readonly [number, number];
          readonly evidence: unknown;
        }[];
      })
    | undefined;
  if (refine === undefined) return undefined;
  const result = refine(
    table,
    logs.map((log, i) => driveOf(log, `log ${i + 1}`)),
    {},
  );
  return {
    flow: result.cells.map((cell) => cell.flow),
    interval: result.cells.map((cell) => cell.interval),
    evidenced: result.cells.map(() => true),
    verdict: "",
  };
}
