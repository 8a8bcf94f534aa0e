import {
  type DriveSpec,
  type PlanError,
  plannedTable,
  printedColumns,
  type ScenarioFamily,
  type SimulatedDrive,
  scenario,
  scenarioFamilies,
  seededRandom,
  simulateDrive,
  type TroubleKind,
  troubleKinds,
  troubleScenario,
  usualPlanError,
} from "@bellmouth/simulator";
import type { TransferCurve } from "bellmouth/sensor";
import { type CarDraw, drawnCar } from "./drawn-cars.js";
import { resampled } from "./resampled.js";
import { type ReversionInput, reversionInput } from "./reversion-input.js";

/** One drive, or several of one car, to refine from and to score. */
export interface ScoreCase {
  readonly set: CarDraw;
  /** What the case is counted under. */
  readonly group: string;
  readonly what:
    | { readonly kind: "clean"; readonly family: ScenarioFamily }
    | { readonly kind: "trouble"; readonly trouble: TroubleKind }
    | { readonly kind: "table"; readonly cells: number }
    | { readonly kind: "reversion input"; readonly input: ReversionInput };
  /** Number of the car in its draw: no two cases share a car, but for the reversion input's. */
  readonly car: number;
  readonly seed: number;
}

export interface PlayedCase {
  readonly table: TransferCurve;
  readonly planError: PlanError;
  readonly specs: readonly DriveSpec[];
  /** What really happened; for the score and the oracle only. */
  readonly simulated: readonly SimulatedDrive[];
  /** What the logs hold, rounded as printed; for every method. */
  readonly logs: readonly SimulatedDrive["columns"][];
  readonly withoutLambda: boolean;
  /** What the meter really does; for the score only. */
  readonly truth: TransferCurve;
}

export const tableSizes = [16, 24, 40, 64, 256] as const;
const SEEDS: { readonly [set in CarDraw]: number } = { development: 10_000, "held-out": 900_000 };

/**
 * The cases of a set: clean cars by family, each trouble, tables of several sizes, and the reversion input.
 *
 * @param each cases of each family, trouble and table size
 */
export function scoreCases(
  set: CarDraw,
  each: { clean: number; trouble: number; table: number },
): ScoreCase[] {
  const cases = (block: number, count: number, group: string, what: ScoreCase["what"]): ScoreCase[] =>
    Array.from({ length: count }, (_, i) => ({
      set,
      group,
      what,
      car: 100 * block + i,
      seed: SEEDS[set] + 1000 * block + i,
    }));
  return [
    ...scenarioFamilies.flatMap((family, k) =>
      cases(k, each.clean, `clean, ${family}`, { kind: "clean", family }),
    ),
    ...troubleKinds.flatMap((trouble, k) =>
      cases(20 + k, each.trouble, trouble, { kind: "trouble", trouble }),
    ),
    ...tableSizes.flatMap((cells, k) =>
      // A large table takes the first landed refinement half a minute: half as many of them.
      cases(50 + k, cells > 100 ? Math.ceil(each.table / 2) : each.table, `table of ${cells} cells`, {
        kind: "table",
        cells,
      }),
    ),
    ...reversionInput.all(set).map(
      (input): ScoreCase => ({
        set,
        group: `reversion input ${Math.round(100 * input.size)} %`,
        what: { kind: "reversion input", input },
        car: 0,
        seed: input.seed,
      }),
    ),
  ];
}

/** Drives a case. */
export function playCase({ what, set, car: number, seed }: ScoreCase): PlayedCase {
  const random = seededRandom(seed);
  if (what.kind === "reversion input") return reversionInput.play(what.input);
  if (what.kind === "trouble") {
    const played = troubleScenario(drawnCar(number, set), what.trouble, random);
    return play(played.drives, played.planError, random, played.withoutLambda);
  }
  const feedback = seed % 2 === 0;
  if (what.kind === "clean") {
    const { drive, planError } = scenario(drawnCar(number, set), what.family, feedback, random);
    return play([drive], planError, random);
  }
  // The true curve is far finer than any table: what a coarse table cannot hold is part of the question.
  const car = drawnCar(number, set, 400);
  const { drive } = scenario(car, "town and pulls", feedback, random);
  const table = plannedTable(resampled(car.meter.trueCurve, what.cells), usualPlanError, random);
  return play([{ ...drive, duration: 900, table }], usualPlanError, random);
}

/** Drives specifications that share a car and a table, and prints their logs. */
export function play(
  specs: readonly DriveSpec[],
  planError: PlanError,
  random: ReturnType<typeof seededRandom>,
  withoutLambda = false,
): PlayedCase {
  const [first] = specs;
  if (first === undefined) throw new Error("no drive to play");
  const simulated = specs.map((spec) => simulateDrive(spec, random));
  return {
    table: first.table,
    planError,
    specs,
    simulated,
    logs: simulated.map((drive, i) => printedColumns(drive, first.table.signal, specs[i]!.log)),
    withoutLambda,
    truth: first.car.meter.trueCurve,
  };
}
