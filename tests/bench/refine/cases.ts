import {
  type CarSpec,
  type DriveSpec,
  developmentCars,
  heldOutCars,
  type PlanError,
  printedColumns,
  type ScenarioFamily,
  type SimulatedDrive,
  scenario,
  scenarioFamilies,
  seededRandom,
  simulateDrive,
} from "@bellmouth/simulator";
import { drawnCars } from "./drawn-cars.js";

/** One seed of the scoring: a car, a family, closed loop or trims off. */
export interface ScoreCase {
  readonly seed: number;
  readonly family: ScenarioFamily;
  readonly car: string;
  readonly feedback: boolean;
}

export type CarSet = "held-out" | "development" | "drawn";
const carsOf = (set: CarSet): readonly CarSpec[] =>
  set === "held-out" ? heldOutCars : set === "drawn" ? drawnCars() : developmentCars;
export const carNames = (set: CarSet): readonly string[] => carsOf(set).map((car) => car.name);

/**
 * The cases: every family gets the same number of seeds, spread evenly over the cars, half closed loop and half with
 * trims off within each car (all off in the family `trims off`).
 *
 * @param set `held-out` for the score; `development` and `drawn` to work with
 */
export function scoreCases(set: CarSet, seedsPerFamily: number, firstSeed: number): ScoreCase[] {
  const cars = carsOf(set);
  return scenarioFamilies.flatMap((family, f) =>
    Array.from({ length: seedsPerFamily }, (_, i) => ({
      seed: firstSeed + 1000 * f + i,
      family,
      car: cars[i % cars.length]!.name,
      feedback: Math.floor(i / cars.length) % 2 === 0 && family !== "trims off",
    })),
  );
}

export interface PlayedCase {
  readonly car: CarSpec;
  readonly spec: DriveSpec;
  readonly planError: PlanError;
  /** What really happened; for the score and the oracle only. */
  readonly simulated: SimulatedDrive;
  /** What the log holds, rounded as printed; for every method. */
  readonly log: SimulatedDrive["columns"];
  /** True flow at the table's cells [kg/s]. */
  readonly truth: readonly number[];
}

export const carNamed = (name: string): CarSpec => {
  const car = [...developmentCars, ...heldOutCars, ...drawnCars()].find(
    (candidate) => candidate.name === name,
  );
  if (car === undefined) throw new Error(`no car named ${name}`);
  return car;
};

/** Drives a case. */
export function playCase(given: ScoreCase): PlayedCase {
  const random = seededRandom(given.seed);
  const { drive: spec, planError } = scenario(carNamed(given.car), given.family, given.feedback, random);
  return play(spec, planError, random);
}

/** Drives a specification and prints its log. */
export function play(
  spec: DriveSpec,
  planError: PlanError,
  random: ReturnType<typeof seededRandom>,
): PlayedCase {
  const simulated = simulateDrive(spec, random);
  return {
    car: spec.car,
    spec,
    planError,
    simulated,
    log: printedColumns(simulated, spec.table.signal, spec.log),
    truth: spec.car.meter.trueCurve.cells.map((cell) => cell.flow),
  };
}
