import {
  developmentCars,
  scenario,
  scenarioFamilies,
  seededRandom,
  simulateDrive,
  troubleKinds,
  troubleScenario,
} from "@bellmouth/simulator";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { drawnCar } from "../bench/refine/drawn-cars.js";

const cars = [...developmentCars, ...[0, 1, 2, 3].map((k) => drawnCar(k))];

describe("any simulated drive", () => {
  it("holds numbers that a log could hold", () => {
    fc.assert(
      fc.property(
        fc.nat(2 ** 31 - 1),
        fc.constantFrom(...cars),
        fc.constantFrom(...scenarioFamilies),
        fc.boolean(),
        (seed, car, family, feedback) => {
          const random = seededRandom(seed);
          const { drive } = scenario(car, family, feedback, random);
          const { columns, truth } = simulateDrive({ ...drive, duration: 90 }, random);
          const all = (column: Float64Array, good: (value: number, i: number) => boolean): void => {
            const wrong = column.findIndex((value, i) => !good(value, i));
            expect(wrong, `row ${wrong}: ${column[wrong]}`).toBe(-1);
          };
          for (const column of Object.values(columns)) all(column, Number.isFinite);
          all(columns.time, (value, i) => i === 0 || value > columns.time[i - 1]!);
          all(columns.airflow, (value) => value >= 0);
          all(
            columns.lambda,
            (value) => value >= car.lambdaSensor.least && value <= car.lambdaSensor.greatest,
          );
          all(columns.engineSpeed, (value) => value > 8 && value <= car.engine.topSpeed);
          all(columns.shortTrim, (value) => Math.abs(value) <= car.control.limit);
          all(columns.longTrim, (value) => Math.abs(value) <= car.control.limit);
          all(columns.throttle, (value) => value >= 0 && value <= 1);
          all(columns.manifoldPressure, (value) => value > 5e3 && value <= drive.barometer);
          all(columns.coolant, (value, i) => value <= 363 && (i === 0 || value >= columns.coolant[i - 1]!));
          if (family === "trims off" || !feedback) all(columns.shortTrim, (value) => value === 0);
          // The meter sees what the throttle passes; without a leak the cylinders get that on the whole.
          const sum = (column: Float64Array): number => column.reduce((total, value) => total + value, 0);
          expect(Math.abs(sum(truth.cylinderFlow) / sum(truth.meterFlow) - 1)).toBeLessThan(0.02);
        },
      ),
      { numRuns: 40, seed: 1 },
    );
  });

  it("holds numbers that a log could hold with any trouble, and the air in balance", () => {
    fc.assert(
      fc.property(
        fc.nat(2 ** 31 - 1),
        fc.constantFrom(...cars),
        fc.constantFrom(...troubleKinds),
        (seed, car, kind) => {
          const random = seededRandom(seed);
          const [drive] = troubleScenario(car, kind, random).drives;
          const { columns, truth } = simulateDrive({ ...drive!, duration: 90, startCoolant: 355 }, random);
          const all = (column: Float64Array, good: (value: number, i: number) => boolean): void => {
            const wrong = column.findIndex((value, i) => !good(value, i));
            expect(wrong, `${kind}, row ${wrong}: ${column[wrong]}`).toBe(-1);
          };
          for (const column of Object.values(columns)) all(column, Number.isFinite);
          all(columns.airflow, (value) => value >= 0);
          const { least, greatest } = car.lambdaSensor;
          all(columns.lambda, (value) => value >= 0.97 * least && value <= 1.03 * greatest);
          all(columns.shortTrim, (value) => Math.abs(value) <= car.control.limit);
          all(truth.meterFlow, (value) => value >= 0);
          // What the cylinders get comes through the meter or behind it.
          const sum = (column: Float64Array): number => column.reduce((total, value) => total + value, 0);
          const ratio = sum(truth.cylinderFlow) / (sum(truth.meterFlow) + sum(truth.leakFlow));
          expect(Math.abs(ratio - 1)).toBeLessThan(0.02);
        },
      ),
      { numRuns: 30, seed: 2 },
    );
  });
});
