import type { CarSpec } from "./car-spec.js";
import type { DriveSpec } from "./drive-spec.js";
import { mixedRoads } from "./mixed-roads.js";
import { type PlanError, plannedTable, usualPlanError } from "./planned-table.js";
import { between, type Random } from "./random.js";

/** Families of scenarios that a refinement is scored on. */
export const scenarioFamilies = [
  "town and pulls",
  "trims off",
  "8-minute drive",
  "no pulls",
  "noisy sensor",
  "10 Hz log",
  "long delay",
  "2 % outliers",
  "start 6 % off",
] as const;
export type ScenarioFamily = (typeof scenarioFamilies)[number];

/**
 * A drive of a family: the car (altered where the family says so), a planned table with a random error, a cycle.
 *
 * @param feedback closed loop with trims, or trims off; the family `trims off` is always off
 */
export function scenario(
  car: CarSpec,
  family: ScenarioFamily,
  feedback: boolean,
  random: Random,
): { readonly drive: DriveSpec; readonly planError: PlanError } {
  const sensor = car.lambdaSensor;
  const altered: CarSpec =
    family === "noisy sensor"
      ? {
          ...car,
          lambdaSensor: { ...sensor, whiteNoise: 3 * sensor.whiteNoise, slowNoise: 3 * sensor.slowNoise },
        }
      : family === "long delay"
        ? {
            ...car,
            exhaust: {
              ...car.exhaust,
              fixedDelay: car.exhaust.fixedDelay + 0.3,
              gasMass: 2.5 * car.exhaust.gasMass,
            },
          }
        : family === "2 % outliers"
          ? { ...car, lambdaSensor: { ...sensor, outliers: { probability: 0.02, size: 0.25 } } }
          : car;
  const offset = family === "start 6 % off" ? (random.uniform() < 0.5 ? -0.06 : 0.06) : undefined;
  const table = plannedTable(
    car.meter.trueCurve,
    usualPlanError,
    random,
    offset === undefined ? {} : { commonOffset: offset },
  );
  return {
    planError: usualPlanError,
    drive: {
      car: altered,
      table,
      cycle: mixedRoads(altered, random, family !== "no pulls"),
      duration: family === "8-minute drive" ? 480 : 1500,
      feedback: feedback && family !== "trims off",
      barometer: between(random, 96e3, 102.5e3),
      ambient: between(random, 278, 303),
      startCoolant: between(random, 290, 340),
      faults: {},
      log: { rate: family === "10 Hz log" ? 10 : 20, jitter: 0.02, refresh: {}, decimals: {} },
    },
  };
}
