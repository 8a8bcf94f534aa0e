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
import { type PlayedCase, play } from "./cases.js";
import { type CarDraw, drawnCar } from "./drawn-cars.js";
import { drivenCells } from "./driven-cells.js";
import { type Estimate, estimate } from "./estimate.js";

export const specials = ["two passes", "injector error", "late lambda"] as const;
export type Special = (typeof specials)[number];

/** One seed of a question that needs more than one refinement. */
export interface SpecialCase {
  readonly set: CarDraw;
  readonly special: Special;
  readonly seed: number;
  readonly car: number;
  readonly feedback: boolean;
}

/** Named figures of one special case; sums of squares come with their count. */
export interface SpecialScore extends SpecialCase {
  readonly figures: { readonly [name: string]: number };
}

/** Cases of every special question, half closed loop and half with trims off. */
export function specialCases(set: CarDraw, each: number): SpecialCase[] {
  return specials.flatMap((special, s) =>
    Array.from({ length: each }, (_, i) => ({
      set,
      special,
      car: 9000 + 100 * s + i,
      seed: (set === "development" ? 60_000 : 960_000) + 1000 * s + i,
      feedback: i % 2 === 0,
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
/** Cells of the true curve and of the table are the same here. */
const truthOf = (played: PlayedCase): number[] => played.truth.cells.map((cell) => cell.flow);
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
  const car = drawnCar(given.car, given.set);
  const { drive, planError } = scenario(car, "town and pulls", given.feedback, random);
  const spec: DriveSpec = { ...drive, table: table ?? drive.table, faults };
  return play([spec], planError, random);
};

/** From a start exactly 5 % rms off: drive, refine, put the table into the ECU, drive, refine. */
function twoPasses(given: SpecialCase): Record<string, number> {
  const random = seededRandom(given.seed);
  const start = plannedTable(drawnCar(given.car, given.set).meter.trueCurve, usualPlanError, random, {
    rms: 0.05,
  });
  const first = ordinary(given, random, start);
  const once = estimate(start, first.logs);
  const second = ordinary(given, random, once.result.curve);
  const twice = estimate(once.result.curve, second.logs, { prior: once.result.knowledge });
  const either = drivenCells(start, [...first.simulated, ...second.simulated]);
  const flows = start.cells.map((cell) => cell.flow);
  const truth = truthOf(first);
  const [s0, s1, s2] = [flows, once.flow, twice.flow].map((flow) => squares(flow, truth, either));
  return {
    cells: s0!.count,
    start: s0!.sum,
    afterOne: s1!.sum,
    afterTwo: s2!.sum,
    worstAfterTwo: s2!.worst,
    worsened:
      worsened(start, truth, drivenCells(start, first.simulated), once) +
      worsened(once.result.curve, truth, drivenCells(start, second.simulated), twice),
  };
}

/** Injectors 5 % off, with a drive made before the swap, and without. */
function injectorError(given: SpecialCase): Record<string, number> {
  const random = seededRandom(given.seed);
  const faults = { injectorGain: random.uniform() < 0.5 ? 0.95 : 1.05 };
  const car = drawnCar(given.car, given.set);
  const old = withOldMeter(car);
  const base = scenario(car, "town and pulls", given.feedback, random);
  const before = play([{ ...base.drive, car: old.car, table: old.table, faults }], base.planError, random);
  const played = ordinary(given, random, undefined, faults);
  const fuelScale = fuelScaleOf(old.table, [driveChannels(before.logs[0]!, "old meter")]);
  const driven = drivenCells(played.table, played.simulated);
  const alone = estimate(played.table, played.logs);
  const told = fuelScale === null ? alone : estimate(played.table, played.logs, { fuelScale });
  const truth = truthOf(played);
  const s = squares(told.flow, truth, driven);
  return {
    cells: s.count,
    withOldMeter: s.sum,
    alone: squares(alone.flow, truth, driven).sum,
    covered: truth.filter(
      (value, i) => driven[i] && value >= told.interval[i]![0] && value <= told.interval[i]![1],
    ).length,
    saidScale: alone.codes.includes("scale cannot be told apart") ? 1 : 0,
  };
}

/** Lambda stamped 0.2 s late: how far that moves any driven cell. */
function lateLambda(given: SpecialCase): Record<string, number> {
  const random = seededRandom(given.seed);
  const played = ordinary(given, random);
  const driven = drivenCells(played.table, played.simulated);
  const sound = estimate(played.table, played.logs);
  const late = estimate(played.table, [delayed(played.logs[0]!, 0.2)]);
  const moved = sound.mean.map((flow, i) => Math.abs(late.mean[i]! / flow - 1)).filter((_, i) => driven[i]);
  return {
    cells: moved.length,
    moved: moved.reduce((sum, value) => sum + value * value, 0),
    worstMoved: moved.reduce((most, value) => Math.max(most, value), 0),
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
  const played = {
    "two passes": twoPasses,
    "injector error": injectorError,
    "late lambda": lateLambda,
  }[given.special](given);
  return { ...given, figures: played };
}
