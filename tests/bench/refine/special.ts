import {
  type DriveSpec,
  driveChannels,
  plannedTable,
  type Random,
  type SimulatedDrive,
  scenario,
  seededRandom,
  usualPlanError,
  withOldMeter,
} from "@bellmouth/simulator";
import { fuelScaleOf } from "bellmouth/drive";
import type { TransferCurve } from "bellmouth/sensor";
import { carNamed, type PlayedCase, play } from "./cases.js";
import { drivenCells } from "./driven-cells.js";
import { type Estimate, estimate } from "./estimate.js";

export const specials = ["two passes", "injector error", "leak", "no leak", "late lambda"] as const;
export type Special = (typeof specials)[number];

/** One seed of a special question. */
export interface SpecialCase {
  readonly special: Special;
  readonly seed: number;
  readonly car: string;
  readonly feedback: boolean;
}

/** Named figures of one special case; sums of squares come with their count. */
export interface SpecialScore extends SpecialCase {
  readonly figures: { readonly [name: string]: number };
}

/** Cases of every special question, spread over the cars, half closed loop and half with trims off. */
export function specialCases(cars: readonly string[], each: number, firstSeed: number): SpecialCase[] {
  return specials.flatMap((special, s) =>
    Array.from({ length: each }, (_, i) => ({
      special,
      seed: firstSeed + 50_000 + 1000 * s + i,
      car: cars[i % cars.length]!,
      feedback: Math.floor(i / cars.length) % 2 === 0,
    })),
  );
}

const squares = (
  flow: readonly number[],
  truth: readonly number[],
  cells: readonly boolean[],
): { readonly sum: number; readonly count: number; readonly worst: number } => {
  const errors = truth.map((value, i) => flow[i]! / value - 1).filter((_, i) => cells[i]);
  return {
    sum: errors.reduce((total, error) => total + error * error, 0),
    count: errors.length,
    worst: errors.reduce((most, error) => Math.max(most, Math.abs(error)), 0),
  };
};
/** Evidenced driven cells that ended further from the truth than they began by more than their interval's half. */
const worsened = (
  table: TransferCurve,
  truth: readonly number[],
  driven: readonly boolean[],
  now: Estimate,
): number =>
  truth.filter((value, i) => {
    const [low, high] = now.interval[i]!;
    const before = Math.abs(table.cells[i]!.flow - value);
    const gone = Math.abs(now.flow[i]! - value) - before > (high - low) / 2;
    return driven[i]! && now.evidenced[i]! && gone;
  }).length;

const ordinary = (given: SpecialCase, random: Random, table?: TransferCurve, faults = {}): PlayedCase => {
  const { drive, planError } = scenario(carNamed(given.car), "town and pulls", given.feedback, random);
  const spec: DriveSpec = { ...drive, table: table ?? drive.table, faults };
  return play(spec, planError, random);
};

/** From a start exactly 5 % rms off: drive, refine, put the table into the ECU, drive, refine. */
function twoPasses(given: SpecialCase): Record<string, number> {
  const random = seededRandom(given.seed);
  const truth = carNamed(given.car).meter.trueCurve;
  const start = plannedTable(truth, usualPlanError, random, { rms: 0.05 });
  const first = ordinary(given, random, start);
  const once = estimate(start, [first.log]);
  const second = ordinary(given, random, once.result.curve);
  const twice = estimate(once.result.curve, [second.log], { prior: once.result.covariance });
  const either = drivenCells(start, [first.simulated, second.simulated]);
  const flows = start.cells.map((cell) => cell.flow);
  const [s0, s1, s2] = [flows, once.flow, twice.flow].map((flow) => squares(flow, first.truth, either));
  return {
    cells: s0!.count,
    start: s0!.sum,
    afterOne: s1!.sum,
    afterTwo: s2!.sum,
    worstAfterTwo: s2!.worst,
    worsened:
      worsened(start, first.truth, drivenCells(start, [first.simulated]), once) +
      worsened(once.result.curve, first.truth, drivenCells(start, [second.simulated]), twice),
  };
}

/** Injectors 5 % off, with a drive made before the swap, and without. */
function injectorError(given: SpecialCase): Record<string, number> {
  const random = seededRandom(given.seed);
  const faults = { injectorGain: random.uniform() < 0.5 ? 0.95 : 1.05 };
  const old = withOldMeter(carNamed(given.car));
  const base = scenario(carNamed(given.car), "town and pulls", given.feedback, random);
  const before = play({ ...base.drive, car: old.car, table: old.table, faults }, base.planError, random);
  const played = ordinary(given, random, undefined, faults);
  const fuelScale = fuelScaleOf(old.table, [driveChannels(before.log, "old meter")]);
  const driven = drivenCells(played.spec.table, [played.simulated]);
  const alone = estimate(played.spec.table, [played.log]);
  const told = fuelScale === null ? alone : estimate(played.spec.table, [played.log], { fuelScale });
  const s = squares(told.flow, played.truth, driven);
  return {
    cells: s.count,
    withOldMeter: s.sum,
    covered: played.truth.filter(
      (value, i) => driven[i] && value >= told.interval[i]![0] && value <= told.interval[i]![1],
    ).length,
    alone: squares(alone.flow, played.truth, driven).sum,
    saidScale: alone.verdicts.includes("scale cannot be told apart") ? 1 : 0,
    saidScaleThough: told.verdicts.includes("scale cannot be told apart") ? 1 : 0,
  };
}

/** An opening behind the meter that gives a tenth to a third of the idle's air. */
function leak(given: SpecialCase, present: boolean): Record<string, number> {
  const random = seededRandom(given.seed);
  const car = carNamed(given.car);
  const area = car.engine.throttleArea.idle * (0.1 + 0.2 * random.uniform());
  const played = ordinary(given, random, undefined, present ? { leakArea: area } : {});
  const { verdicts } = estimate(played.spec.table, [played.log]);
  return {
    saidLeak: verdicts.includes("leak") ? 1 : 0,
    saidLeakOrTable: verdicts.includes("leak or table") ? 1 : 0,
    saidOther: verdicts.includes("injector offset") || verdicts.includes("exhaust leak") ? 1 : 0,
  };
}

/** Lambda stamped 0.2 s late: how far that moves any driven cell. */
function lateLambda(given: SpecialCase): Record<string, number> {
  const random = seededRandom(given.seed);
  const played = ordinary(given, random);
  const driven = drivenCells(played.spec.table, [played.simulated]);
  const sound = estimate(played.spec.table, [played.log]);
  const late = estimate(played.spec.table, [delayed(played.log, 0.2)]);
  const moved = sound.flow.map((flow, i) => Math.abs(late.flow[i]! / flow - 1)).filter((_, i) => driven[i]);
  return {
    cells: moved.length,
    moved: moved.reduce((sum, value) => sum + value * value, 0),
    worstMoved: Math.max(...moved),
    sound: squares(sound.flow, played.truth, driven).sum,
    late: squares(late.flow, played.truth, driven).sum,
  };
}

/** The same log with its lambda channel a whole number of rows late. */
function delayed(log: SimulatedDrive["columns"], seconds: number): SimulatedDrive["columns"] {
  const rows = Math.round(
    (seconds * (log.time.length - 1)) / (log.time[log.time.length - 1]! - log.time[0]!),
  );
  return { ...log, lambda: log.lambda.map((_, i) => log.lambda[Math.max(0, i - rows)]!) };
}

/** Plays a special case. */
export function scoreSpecial(given: SpecialCase): SpecialScore {
  const figures = {
    "two passes": () => twoPasses(given),
    "injector error": () => injectorError(given),
    leak: () => leak(given, true),
    "no leak": () => leak(given, false),
    "late lambda": () => lateLambda(given),
  }[given.special]();
  return { ...given, figures };
}
