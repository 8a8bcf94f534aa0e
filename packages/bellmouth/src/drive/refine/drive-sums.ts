import { BellmouthError } from "../../fault/index.js";
import type { TransferCurve } from "../../sensor/index.js";
import type { Drive } from "../drive.js";
import { cellForm } from "./cell-form.js";
import { choleskyFactor, choleskyInverse } from "./cholesky.js";
import { type DriveFit, type DriveStart, fitDrive } from "./drive-fit.js";
import { addGates, countGates, gateReasons } from "./gate.js";
import { at, lambdaParameters, rowParameters, trimParameters } from "./law.js";
import { posteriorMean } from "./posterior.js";
import { priorOf, scaledPrior } from "./prior.js";
import { prepareDrive } from "./refusal.js";
import { suspectColumns } from "./suspects.js";
import { type Timeline, timelineOf } from "./timeline.js";
import { integrateOut, trimWander } from "./trim-wander.js";
import {
  type DriveSummary,
  type MixtureSource,
  type RefineOptions,
  type RefineSums,
  type RefusalReason,
  suspects,
} from "./types.js";

/** Least independent samples that a drive must amount to. */
const leastEffective = 20;
const mostSteps = 12;

const noGates = { rows: 0, used: 0, left: {} } as const;

function refused(
  curve: TransferCurve,
  drive: Drive,
  source: MixtureSource,
  reason: RefusalReason,
  text: string,
  timeline?: Timeline,
): RefineSums {
  const summary: DriveSummary = {
    name: drive.name ?? "drive",
    refused: { reason, text },
    source,
    seconds: timeline === undefined ? 0 : timeline.grid.n * timeline.grid.step,
    gates: timeline === undefined ? noGates : countGates(timeline.gate),
    transport: null,
    transient: null,
    noise: null,
    delay: null,
    effective: 0,
    misfit: 1,
    saturated: 0,
  };
  return { ...emptySums(curve), drives: [summary] };
}

/** Sums that say nothing: the start for adding. */
export function emptySums(curve: TransferCurve): RefineSums {
  const cells = curve.cells.length;
  const size = cells + suspects.length;
  return {
    kind: "refine sums",
    table: { signal: curve.cells.map((cell) => cell.signal), flow: curve.cells.map((cell) => cell.flow) },
    matrix: new Array<number>(size * size).fill(0),
    vector: new Array<number>(size).fill(0),
    seconds: new Array<number>(cells).fill(0),
    seen: Array.from({ length: cells }, () => ({ weight: 0, sum: 0 })),
    places: Array.from({ length: cells }, () => ({ time: 0, speed: 0, pressure: 0 })),
    filling: { sum: 0, time: 0 },
    loaded: 0,
    drives: [],
  };
}

/**
 * What one drive tells about a table, as sums that add with those of other drives.
 *
 * @param drive channels in SI; needs `signal` (or `airflow`), and `lambda` with trims, or trims alone
 * @param curve the table that was in the ECU during the drive
 * @returns plain data; a drive that cannot be used comes back with its reason and empty sums
 * @throws `E_DOMAIN` on options
 */
export const sumsOf = (drive: Drive, curve: TransferCurve, options: RefineOptions = {}): RefineSums =>
  summed(drive, curve, options, priorMatrix(curve, options), undefined);

function summed(
  drive: Drive,
  curve: TransferCurve,
  options: RefineOptions,
  prior: Float64Array,
  start: DriveStart | undefined,
): RefineSums {
  const prepared = prepareDrive(curve, drive, options.trimsOff === true);
  if ("reason" in prepared) return refused(curve, drive, "lambda", prepared.reason, prepared.text);
  const { source } = prepared;
  const untimed = options.untimed === true;
  const timeline = timelineOf(curve, prepared.drive, {
    warmFrom: options.warmFrom ?? 343.15,
    step: options.step ?? 0.05,
    source,
    untimed,
  });
  const cells = curve.cells.length;
  const factor = choleskyFactor(prior, cells);
  if (factor === null)
    throw new BellmouthError({
      code: "E_DOMAIN",
      message: "the prior covariance is not positive definite",
      at: { path: "options.prior" },
    });
  const tooShort = (): RefineSums =>
    refused(
      curve,
      drive,
      source,
      "too short",
      `Too little of the drive counts: ${describeGates(timeline)}.`,
      timeline,
    );
  if (timeline.grid.n < 50) return tooShort();
  const top = curve.cells.at(-1)!.flow;
  const columns = suspectColumns(timeline, top);
  const known = suspects.filter((suspect) => columns[suspect] !== null && source === "lambda");
  const wander = source === "trims" ? trimWander(timeline, top) : { columns: [], u: [] };
  const middle = middleOf(timeline.metered, 0);
  const fit = fitDrive(curve, timeline, {
    parameters: untimed
      ? rowParameters()
      : source === "trims"
        ? trimParameters()
        : lambdaParameters(timeline, middle),
    priorInverse: choleskyInverse(factor, cells),
    iterations: mostSteps,
    ...(start === undefined || source === "trims" || untimed ? {} : { start }),
    kept: [...known.map((suspect) => columns[suspect] as Float64Array), ...wander.columns],
  });
  if (fit === null || !(fit.effective >= leastEffective)) return tooShort();
  const evidence = integrateOut(fit, wander.u, cells + known.length);
  return evidence === null
    ? tooShort()
    : gathered(curve, drive, source, timeline, { ...fit, ...evidence }, known, middle);
}

/**
 * Adds a drive to sums. Where the sums hold a drive already, the fit starts from its law, its noise and the table as known so far,
 * which costs a fraction of a search: for logs read in pieces, and for many drives of one car.
 *
 * @param sums what the same car's earlier drives told about the same table
 * @throws `E_SHAPE` when the sums are about another table, `E_DOMAIN` on options
 */
export function addDrive(
  sums: RefineSums,
  drive: Drive,
  curve: TransferCurve,
  options: RefineOptions = {},
): RefineSums {
  const prior = priorMatrix(curve, options);
  return mergeSums(sums, summed(drive, curve, options, prior, startOf(sums, curve, prior)));
}

function startOf(sums: RefineSums, curve: TransferCurve, prior: Float64Array): DriveStart | undefined {
  const last = sums.drives.findLast(({ source, refused: no }) => source === "lambda" && no === null);
  if (last === undefined || last.transport === null || last.transient === null || last.noise === null)
    return undefined;
  const { matrix, vector } = cellForm(sums);
  const theta = posteriorMean(prior, matrix, vector, curve.cells.length);
  if (theta === null) return undefined;
  return {
    law: { transport: last.transport, transient: last.transient, extras: [] },
    noise: last.noise,
    theta,
  };
}

/** Prior covariance in force: the caller's, or the table's budgets. */
export function priorMatrix(curve: TransferCurve, options: RefineOptions): Float64Array {
  const cells = curve.cells.length;
  if (options.prior === undefined) return scaledPrior(priorOf(curve), 1, 1);
  if (options.prior.length !== cells * cells)
    throw new BellmouthError({
      code: "E_SHAPE",
      message: "the prior covariance must have a row and a column for each cell",
      found: `${options.prior.length} values`,
      accepted: `${cells * cells}`,
      at: { path: "options.prior" },
    });
  return Float64Array.from(options.prior);
}

function describeGates(timeline: Timeline): string {
  const counts = countGates(timeline.gate);
  const worst = gateReasons
    .map((reason) => [reason, counts.left[reason] ?? 0] as const)
    .filter(([, count]) => count > 0)
    .sort((a, b) => b[1] - a[1])
    .slice(0, 3)
    .map(([reason, count]) => `${reason} ${Math.round((100 * count) / Math.max(1, counts.rows))} %`);
  return `of ${counts.rows} rows, left out: ${worst.join(", ") || "none"}`;
}

/** Manifold over outside pressure from which a leak draws clearly less than at idle [1]. */
const loadedFrom = 0.65;

function gathered(
  curve: TransferCurve,
  drive: Drive,
  source: MixtureSource,
  timeline: Timeline,
  fit: DriveFit,
  known: readonly (typeof suspects)[number][],
  middle: number,
): RefineSums {
  const cells = curve.cells.length;
  const size = cells + suspects.length;
  const from = cells + known.length;
  // Suspects that this log cannot tell keep empty rows.
  const place = (k: number): number =>
    k < cells ? k : cells + suspects.indexOf(known[k - cells] as (typeof suspects)[number]);
  const matrix = new Array<number>(size * size).fill(0);
  const vector = new Array<number>(size).fill(0);
  for (let r = 0; r < from; r++) {
    vector[place(r)] = fit.vector[r]!;
    for (let c = 0; c < from; c++) matrix[place(r) * size + place(c)] = fit.matrix[r * from + c]!;
  }
  const { grid, cell, share, speed, pressureRatio, metered } = timeline;
  const seconds = new Array<number>(cells).fill(0);
  const seen = Array.from({ length: cells }, () => ({ weight: 0, sum: 0 }));
  const places = Array.from({ length: cells }, () => ({ time: 0, speed: 0, pressure: 0 }));
  let fillingSum = 0;
  let fillingTime = 0;
  let loaded = 0;
  for (let t = 0; t < grid.n; t++) {
    if (fit.use[t] !== 1) continue;
    const i = fit.predicted.transport.row[t]!;
    const c = cell[i]! + (share[i]! >= 0.5 ? 1 : 0);
    seconds[c] = seconds[c]! + grid.step;
    const left = cell[i]!;
    const known = (1 - share[i]!) * fit.theta[left]! + share[i]! * fit.theta[left + 1]!;
    seen[c]!.weight += fit.weight[t]!;
    seen[c]!.sum += fit.weight[t]! * (fit.residual[t]! + known);
    const s = speed[i]!;
    const p = pressureRatio[i]!;
    if (s > 1 && p > 0) {
      const here = places[c]!;
      here.time += grid.step;
      here.speed += grid.step * s;
      here.pressure += grid.step * p;
      fillingSum += (grid.step * metered[i]!) / (s * p);
      fillingTime += grid.step;
      if (p > loadedFrom) loaded += grid.step;
    }
  }
  const saturated = countGates(timeline.gate).left["trim saturated"] ?? 0;
  return {
    kind: "refine sums",
    table: { signal: curve.cells.map((c) => c.signal), flow: curve.cells.map((c) => c.flow) },
    matrix,
    vector,
    seconds,
    seen,
    places,
    filling: { sum: fillingSum, time: fillingTime },
    loaded,
    drives: [
      {
        name: drive.name ?? "drive",
        refused: null,
        source,
        seconds: grid.n * grid.step,
        gates: countGates(fit.gate),
        transport: fit.law.transport,
        transient: fit.law.transient,
        noise: fit.noise,
        delay: source === "lambda" ? delayOf(timeline, fit, middle) : null,
        effective: fit.effective / fit.misfit,
        misfit: fit.misfit,
        saturated: saturated / Math.max(1, grid.n),
      },
    ],
  };
}

/** Median of what is above `least`, told by a couple of thousand values; NaN where there is nothing. */
function middleOf(series: Float64Array, least: number): number {
  const stride = Math.max(1, Math.ceil(series.length / 2000));
  const some = new Float64Array(Math.ceil(series.length / stride));
  let count = 0;
  for (let t = 0; t < series.length; t += stride) if (series[t]! > least) some[count++] = series[t]!;
  return count === 0 ? Number.NaN : some.subarray(0, count).sort()[count >> 1]!;
}

/** Delay at the median flow [kg/s] and speed, with its standard uncertainty [s]. */
function delayOf(
  timeline: Timeline,
  fit: DriveFit,
  flow: number,
): { readonly value: number; readonly u: number } {
  const turn = 1 / middleOf(timeline.speed, 1) || 0;
  const { fixed, revolutions, gas, late } = fit.law.transport;
  const count = Math.round(Math.sqrt(fit.lawCovariance.length));
  const slope = new Float64Array(count);
  slope[at.fixed] = 1;
  slope[at.late] = 1;
  slope[at.revolutions] = turn;
  slope[at.gas] = 1 / flow;
  let variance = 0;
  for (let r = 0; r < count; r++)
    for (let c = 0; c < count; c++) variance += slope[r]! * fit.lawCovariance[r * count + c]! * slope[c]!;
  return { value: fixed + revolutions * turn + gas / flow + late, u: Math.sqrt(Math.max(0, variance)) };
}

/**
 * Adds sums of the same table. `mergeSums(sumsOf(a), sumsOf(b))` holds what `a` and `b` tell together, whatever the order.
 *
 * @throws `E_SHAPE` when the sums are about different tables
 */
export function mergeSums(a: RefineSums, b: RefineSums): RefineSums {
  const same =
    a.table.flow.length === b.table.flow.length &&
    a.table.flow.every((flow, i) => flow === b.table.flow[i]) &&
    a.table.signal.every((signal, i) => signal === b.table.signal[i]);
  if (!same)
    throw new BellmouthError({
      code: "E_SHAPE",
      message: "sums of different tables do not add",
      found: `${a.table.flow.length} and ${b.table.flow.length} cells, or other values`,
      accepted: "sums made with one and the same table",
      at: { path: "sums" },
    });
  const add = (x: readonly number[], y: readonly number[]): number[] => x.map((value, i) => value + y[i]!);
  return {
    kind: "refine sums",
    table: a.table,
    matrix: add(a.matrix, b.matrix),
    vector: add(a.vector, b.vector),
    seconds: add(a.seconds, b.seconds),
    seen: a.seen.map((one, i) => ({
      weight: one.weight + b.seen[i]!.weight,
      sum: one.sum + b.seen[i]!.sum,
    })),
    places: a.places.map((place, i) => ({
      time: place.time + b.places[i]!.time,
      speed: place.speed + b.places[i]!.speed,
      pressure: place.pressure + b.places[i]!.pressure,
    })),
    filling: { sum: a.filling.sum + b.filling.sum, time: a.filling.time + b.filling.time },
    loaded: a.loaded + b.loaded,
    drives: [...a.drives, ...b.drives],
  };
}

/** Rows left out of all drives, by reason. */
export const gatesOf = (sums: RefineSums): ReturnType<typeof countGates> =>
  sums.drives.reduce((all, drive) => addGates(all, drive.gates), noGates as ReturnType<typeof countGates>);
