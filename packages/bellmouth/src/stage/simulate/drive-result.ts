import * as z from "zod";
import type { SimulateDocument } from "../../document/index.js";
import {
  head,
  list,
  number,
  type Out,
  orNull,
  partOf,
  record,
  signalKind,
  text,
  unit,
  whole,
  word,
} from "../result-parts.js";

const band = () =>
  record({ low: list(orNull(number())), mean: list(orNull(number())), high: list(orNull(number())) });

/** Lowest, mean and highest of a channel in each stretch of a log; null where the stretch holds no sample of it. */
export type TraceBand = Out<typeof band>;

const trace = () =>
  record({ time: list(number(), 1), airflow: band(), speed: band(), lambda: band() }).refine(
    ({ time, airflow, speed, lambda }) =>
      [airflow, speed, lambda].every(({ low, mean, high }) =>
        [low, mean, high].every((values) => values.length === time.length),
      ),
    { error: "a value, or null, of each channel in each stretch" },
  );

/** Schema of a simulated drive, which a stored one is read back through. */
export const driveResult = () =>
  record({
    ...head("drive 1"),
    kind: word("simulated drive"),
    car: text(),
    meter: word("present", "new"),
    seed: whole(),
    faults: partOf<SimulateDocument["faults"]>()(z.record(z.string(), z.unknown())),
    /** Kind of the meter's signal. */
    signal: signalKind(),
    /** Units that people see the result in. */
    units: record({ flow: unit("mass flow"), signal: unit("frequency", "voltage") }),
    rows: number(),
    /** Length [s]. */
    seconds: number(),
    /** Largest logged airflow [kg/s]. */
    peakFlow: number(),
    /** Shares of the time [1] with a warm engine, and with the fuel cut. */
    warm: number(),
    fuelCut: number(),
    /** Root of the mean square of ln(table flow / true flow) over the true curve's cells [1]. */
    tableError: number(),
    /** The log in stretches: middle of each [s], airflow [kg/s], engine speed [rev/s], lambda [1]. */
    trace: trace(),
    /** The true curve, and what the table in the ECU makes of it: signal [Hz] or [V], flows [kg/s]; null outside the table. */
    cells: list(record({ signal: number(), truth: number(), table: orNull(number()) }), 1),
  });

/** What a simulated drive was: plain JSON-ready data in SI. The log itself is beside it, as CSV. */
export type DriveResult = Out<typeof driveResult>;
