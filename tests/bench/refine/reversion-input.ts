import { developmentCars, orderedDrive, printedColumns, usualPlanError } from "@bellmouth/simulator";
import type { PlayedCase } from "./cases.js";
import type { CarDraw } from "./drawn-cars.js";

/** An ordinary drive whose lambda is given a short rich region, as a reversion pulse makes it. */
export interface ReversionInput {
  /** Lambda is multiplied by one less this [1]. */
  readonly size: number;
  readonly seed: number;
}

/** Where the meter is taken to read too much: below this engine speed [rev/s], above this manifold over outside pressure [1]. */
export const REVERSION_REGION = { below: 2500 / 60, above: 0.85 };
/** Lambda shows it this much later [s]. */
const LATE = 0.3;

/** The first drive of the examples on four seeds, with 2, 3, 6 and 10 %. */
export const reversionInput = {
  all: (set: CarDraw): ReversionInput[] =>
    [0.02, 0.03, 0.06, 0.1].flatMap((size) =>
      (set === "development" ? [17, 18, 19, 20] : [117, 218, 319, 420]).map((seed) => ({ size, seed })),
    ),
  play: ({ size, seed }: ReversionInput): PlayedCase => {
    const { spec, drive } = orderedDrive({
      car: developmentCars[0]!.name,
      meter: "new",
      seed,
      duration: 1500,
      roads: ["idle", "town", "pulls", "motorway", "traffic"],
      feedback: true,
      table: { kind: "planned", error: 0.05 },
      barometer: 98_500,
      outside: 288.15,
      coolant: 293.15,
      logRate: 20,
      faults: {},
    });
    const log = printedColumns(drive, spec.table.signal, spec.log);
    let from = 0;
    const lambda = log.lambda.map((value, i) => {
      while (log.time[from + 1]! <= log.time[i]! - LATE) from += 1;
      const pulse =
        log.engineSpeed[from]! < REVERSION_REGION.below &&
        log.manifoldPressure[from]! / log.barometer[from]! > REVERSION_REGION.above;
      return pulse ? Math.round(1e3 * value * (1 - size)) / 1e3 : value;
    });
    return {
      table: spec.table,
      planError: usualPlanError,
      specs: [spec],
      simulated: [drive],
      logs: [{ ...log, lambda }],
      withoutLambda: false,
      truth: spec.car.meter.trueCurve,
    };
  },
};
