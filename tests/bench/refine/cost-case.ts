import { plannedTable, scenario, seededRandom, usualPlanError } from "@bellmouth/simulator";
import { play } from "./cases.js";
import { drawnCar } from "./drawn-cars.js";
import { estimate } from "./estimate.js";
import { resampled } from "./resampled.js";

/** A drive of fifteen minutes, and refining it on a table of so many cells, timed [s]. */
export function costCase(cells: number): () => number {
  const random = seededRandom(400 + cells);
  const car = drawnCar(1, "development", 600);
  const { drive } = scenario(car, "town and pulls", true, random);
  const table = plannedTable(resampled(car.meter.trueCurve, cells), usualPlanError, random);
  const played = play([{ ...drive, duration: 900, table }], usualPlanError, random);
  return () => {
    const start = performance.now();
    estimate(played.table, played.logs);
    return (performance.now() - start) / 1e3;
  };
}
