import type { SimulateDocument } from "../../document/index.js";

/** Lowest, mean and highest of a channel in each stretch of a log; null where the stretch holds no sample of it. */
export interface TraceBand {
  readonly low: readonly (number | null)[];
  readonly mean: readonly (number | null)[];
  readonly high: readonly (number | null)[];
}

/** What a simulated drive was: plain JSON-ready data in SI. The log itself is beside it, as CSV. */
export interface DriveResult {
  readonly bellmouth: "drive 1";
  readonly kind: "simulated drive";
  readonly title: string;
  readonly car: string;
  readonly meter: SimulateDocument["meter"];
  readonly seed: number;
  readonly faults: SimulateDocument["faults"];
  /** Kind of the meter's signal. */
  readonly signal: "frequency" | "voltage";
  /** Units that people see the result in. */
  readonly units: { readonly flow: string; readonly signal: string };
  readonly rows: number;
  /** Length [s]. */
  readonly seconds: number;
  /** Largest logged airflow [kg/s]. */
  readonly peakFlow: number;
  /** Shares of the time [1] with a warm engine, and with the fuel cut. */
  readonly warm: number;
  readonly fuelCut: number;
  /** Root of the mean square of ln(table flow / true flow) over the true curve's cells [1]. */
  readonly tableError: number;
  /** The log in stretches: middle of each [s], airflow [kg/s], engine speed [rev/s], lambda [1]. */
  readonly trace: {
    readonly time: readonly number[];
    readonly airflow: TraceBand;
    readonly speed: TraceBand;
    readonly lambda: TraceBand;
  };
  /** The true curve, and what the table in the ECU makes of it: signal [Hz] or [V], flows [kg/s]; null outside the table. */
  readonly cells: readonly {
    readonly signal: number;
    readonly truth: number;
    readonly table: number | null;
  }[];
}
