import { BellmouthError } from "../../fault/index.js";
import type { TransferCurve } from "../../sensor/index.js";
import type { Drive, DriveChannel } from "../drive.js";
import { causeColumns } from "./cause-columns.js";
import { choleskyFactor, choleskyInverse } from "./cholesky.js";
import { digestOf, stretchDigests } from "./digest.js";
import { type DriveFit, type DriveStart, fitDrive } from "./drive-fit.js";
import { addGates, countGates, gateReasons } from "./gate.js";
import { at, lambdaParameters, rowParameters, trimParameters } from "./law.js";
import { meanCurve } from "./mean-curve.js";
import { knotPrior } from "./prior.js";
import { offsetHats, parts } from "./record-form.js";
import { knotCount, referenceOf } from "./reference.js";
import { prepareDrive } from "./refusal.js";
import { type Timeline, timelineOf } from "./timeline.js";
import { integrateOut, trimWander } from "./trim-wander.js";
import {
  type DriveEvidence,
  type DriveSummary,
  type MixtureSource,
  possibleCauses,
  type RefineOptions,
  type RefineSums,
  type RefusalReason,
} from "./types.js";

/** Least independent samples that a drive must amount to. */
const leastEffective = 20;
const mostSteps = 12;

const noGates = { rows: 0, used: 0, left: {} } as const;
const zeros = (count: number): number[] => new Array<number>(count).fill(0);
/** Digits that a record keeps [1]. */
const digits = 8;
/** Powers of ten that a double holds exactly. */
const tens = Float64Array.from({ length: 23 }, (_, k) => Number(`1e${k}`));

/** A value at the digits that a record keeps: as `Number(value.toPrecision(digits))`, without the text where arithmetic is exact. */
function rounded(value: number): number {
  if (value === 0) return 0;
  const size = Math.abs(value);
  const shift = digits - 1 - Math.floor(Math.log10(size));
  if (Math.abs(shift) < tens.length) {
    const scaled = shift < 0 ? size / tens[-shift]! : size * tens[shift]!;
    const whole = Math.round(scaled);
    // Near a tie, or where the logarithm is at a power of ten, the text decides.
    if (
      Math.abs(Math.abs(scaled - whole) - 0.5) > 1e-6 &&
      whole > tens[digits - 1]! &&
      whole < tens[digits]!
    ) {
      const kept = shift < 0 ? whole * tens[-shift]! : whole / tens[shift]!;
      return value < 0 ? -kept : kept;
    }
  }
  return Number(value.toPrecision(digits));
}

const nothing: Omit<DriveEvidence, "summary" | "digest"> = {
  matrix: [],
  vector: [],
  seconds: zeros(knotCount),
  seen: { weight: zeros(knotCount), sum: zeros(knotCount) },
  places: { time: zeros(knotCount), speed: zeros(knotCount), pressure: zeros(knotCount) },
  filling: { sum: 0, ln: 0, time: 0 },
  outside: { sum: 0, time: 0 },
  loaded: 0,
  stretches: [],
};

/** A record with its digest. */
export const sealed = (record: Omit<DriveEvidence, "digest">): DriveEvidence => ({
  ...record,
  digest: digestOf(record),
});

function refused(
  drive: Drive,
  source: MixtureSource,
  reason: RefusalReason,
  text: string,
  timeline?: Timeline,
): DriveEvidence {
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
  return sealed({ ...nothing, summary });
}

/** Evidence that says nothing: the start for adding. */
export const emptySums = (curve: TransferCurve): RefineSums => ({
  kind: "refine evidence",
  version: 1,
  reference: referenceOf(curve).knots,
  drives: [],
});

/**
 * What one drive tells, as a record that adds to those of other drives.
 *
 * @param drive channels in SI; needs `signal` (or `airflow`), and `lambda` with trims, or trims alone
 * @param curve the table that was in the ECU during the drive
 * @returns plain data; a drive that cannot be used comes back with its reason and no evidence
 * @throws `E_DOMAIN` on options
 */
export const sumsOf = (drive: Drive, curve: TransferCurve, options: RefineOptions = {}): RefineSums => {
  const about = options.reference ?? curve;
  return { ...emptySums(about), drives: [summed(drive, curve, options, undefined, false)] };
};

/** Times are counted from a drive's first sample in steps of this [s]: what a clock's origin does to the last digits is gone. */
const tick = 2 ** -17;

/** Times counted from the first, in ticks. */
function sinceFirst(time: Float64Array, first: number): Float64Array {
  const out = new Float64Array(time.length);
  for (let t = 0; t < out.length; t++) out[t] = Math.round((time[t]! - first) / tick) * tick;
  return out;
}

/** A drive whose times start at 0. */
function fromZero(drive: Drive): Drive {
  let first = Number.POSITIVE_INFINITY;
  for (const { time } of Object.values(drive.channels)) if (time[0]! < first) first = time[0]!;
  const moved = new Map<Float64Array, Float64Array>();
  const shift = (time: Float64Array): Float64Array => {
    const out = moved.get(time) ?? sinceFirst(time, first);
    moved.set(time, out);
    return out;
  };
  return {
    ...drive,
    channels: Object.fromEntries(
      Object.entries(drive.channels).map(([name, { time, value }]): [string, DriveChannel] => [
        name,
        { time: shift(time), value },
      ]),
    ),
  };
}

function summed(
  given: Drive,
  curve: TransferCurve,
  options: RefineOptions,
  start: DriveStart | undefined,
  piece: boolean,
): DriveEvidence {
  const drive = fromZero(given);
  const prepared = prepareDrive(curve, drive, options.trimsOff === true);
  if ("reason" in prepared) return refused(drive, "lambda", prepared.reason, prepared.text);
  const { source } = prepared;
  const untimed = options.untimed === true;
  const timeline = timelineOf(curve, prepared.drive, {
    warmFrom: options.warmFrom ?? 343.15,
    step: options.step ?? 0.05,
    source,
    untimed,
  });
  const tooShort = (): DriveEvidence =>
    refused(
      drive,
      source,
      "too short",
      `Too little of the drive counts: ${describeGates(timeline)}.`,
      timeline,
    );
  if (timeline.grid.n < 50) return tooShort();
  const reference = referenceOf(options.reference ?? curve);
  const top = curve.cells.at(-1)!.flow;
  const columns = causeColumns(timeline, top);
  const known = possibleCauses.filter((cause) => columns[cause] !== null && source === "lambda");
  const wander = source === "trims" ? trimWander(timeline, top) : { columns: [], u: [] };
  const middle = middleOf(timeline.metered, 0);
  const fit = fitDrive(reference, timeline, {
    parameters: untimed
      ? rowParameters()
      : source === "trims"
        ? trimParameters()
        : lambdaParameters(timeline, middle),
    priorInverse: inversePrior(curve, options),
    iterations: mostSteps,
    field: source === "lambda",
    ...(start === undefined || source === "trims" || untimed ? {} : { start, piece }),
    kept: [...known.map((cause) => columns[cause] as Float64Array), ...wander.columns],
  });
  if (fit === null || !(fit.effective >= leastEffective)) return tooShort();
  const whole = knotCount + fit.nodes + offsetHats + known.length;
  const evidence = integrateOut(fit, wander.u, whole);
  return evidence === null
    ? tooShort()
    : recorded(drive, source, timeline, { ...fit, ...evidence }, known, middle);
}

/** Inverse priors of tables from their budgets alone, by the number of knots. */
const inverses = new WeakMap<TransferCurve, Map<number, Float64Array>>();

/** Inverse of the prior covariance at given knots. */
function inversePrior(curve: TransferCurve, options: RefineOptions): (knots: Float64Array) => Float64Array {
  const usual = options.prior === undefined;
  const cache = (usual ? inverses.get(curve) : undefined) ?? new Map<number, Float64Array>();
  if (usual) inverses.set(curve, cache);
  return (knots) => {
    const made = cache.get(knots.length);
    if (made !== undefined) return made;
    const { parts: prior } = knotPrior(curve, options, knots);
    const n = knots.length;
    const whole = prior.shape.map((value, i) => value + prior.common[i]!);
    const factor = choleskyFactor(whole, n);
    if (factor === null)
      throw new BellmouthError({
        code: "E_DOMAIN",
        message: "the prior covariance is not positive definite",
        at: { path: "options.prior" },
      });
    const inverse = choleskyInverse(factor, n);
    cache.set(n, inverse);
    return inverse;
  };
}

/**
 * Adds a drive to sums. Where the sums hold a drive already, the iteration begins at its law, its noise and the curve as known so far: it
 * ends where it would from nothing, sooner.
 *
 * @param sums what the same car's earlier drives told
 * @param options `piece` is true where the drive is the next piece of the log that the sums' last drive is from: one step is then enough
 * @throws `E_SHAPE` when the sums are about another table, `E_DOMAIN` on options
 */
export function addDrive(
  sums: RefineSums,
  drive: Drive,
  curve: TransferCurve,
  options: RefineOptions & { readonly piece?: boolean } = {},
): RefineSums {
  const start = startOf(sums, options.reference ?? curve, options);
  return mergeSums(sums, {
    ...sums,
    drives: [summed(drive, curve, options, start, options.piece === true)],
  });
}

function startOf(sums: RefineSums, about: TransferCurve, options: RefineOptions): DriveStart | undefined {
  const last = sums.drives.findLast(({ summary }) => summary.source === "lambda" && summary.refused === null);
  if (last === undefined) return undefined;
  const { transport, transient, noise } = last.summary;
  if (transport === null || transient === null || noise === null) return undefined;
  return {
    law: { transport, transient, extras: [] },
    noise,
    theta: meanCurve(about, sums, options),
  };
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

function recorded(
  drive: Drive,
  source: MixtureSource,
  timeline: Timeline,
  fit: DriveFit,
  known: readonly (typeof possibleCauses)[number][],
  middle: number,
): DriveEvidence {
  // What this log cannot tell keeps empty rows.
  const places: number[] = [];
  for (let k = 0; k < knotCount; k++) places.push(k);
  for (let k = 0; k < fit.nodes; k++) places.push(parts.nodes + k);
  for (let k = 0; k < offsetHats; k++) places.push(parts.offset + k);
  for (const cause of known) places.push(parts.causes + possibleCauses.indexOf(cause));
  const from = places.length;
  const matrix = zeros((parts.size * (parts.size + 1)) / 2);
  const vector = zeros(parts.size);
  for (let r = 0; r < from; r++) {
    const i = places[r]!;
    vector[i] = rounded(fit.vector[r]!);
    for (let c = 0; c <= r; c++) matrix[(i * (i + 1)) / 2 + places[c]!] = rounded(fit.matrix[r * from + c]!);
  }
  const saturated = countGates(timeline.gate).left["trim saturated"] ?? 0;
  return sealed({
    matrix,
    vector,
    ...whereDriven(timeline, fit),
    stretches: stretchDigests(drive),
    summary: {
      name: drive.name ?? "drive",
      refused: null,
      source,
      seconds: timeline.grid.n * timeline.grid.step,
      gates: countGates(fit.gate),
      transport: fit.law.transport,
      transient: fit.law.transient,
      noise: fit.noise,
      delay: source === "lambda" ? delayOf(timeline, fit, middle) : null,
      effective: fit.effective / fit.misfit / fit.taken,
      misfit: fit.misfit,
      saturated: saturated / Math.max(1, timeline.grid.n),
    },
  });
}

type Driven = Pick<DriveEvidence, "seconds" | "seen" | "places" | "filling" | "outside" | "loaded">;

/** Where and how long each knot was driven, and what was seen there. */
function whereDriven(timeline: Timeline, fit: DriveFit): Driven {
  const { grid, speed, pressureRatio, metered, outside } = timeline;
  const seconds = zeros(knotCount);
  const seen = { weight: zeros(knotCount), sum: zeros(knotCount) };
  const places = { time: zeros(knotCount), speed: zeros(knotCount), pressure: zeros(knotCount) };
  const filling = { sum: 0, ln: 0, time: 0 };
  let loaded = 0;
  for (let t = 0; t < grid.n; t++) {
    if (fit.use[t] !== 1) continue;
    const i = fit.predicted.transport.row[t]!;
    const k = fit.knot[i]! + (fit.knotShare(i) >= 0.5 ? 1 : 0);
    seconds[k] = seconds[k]! + grid.step;
    seen.weight[k] = seen.weight[k]! + fit.weight[t]!;
    seen.sum[k] = seen.sum[k]! + fit.weight[t]! * (fit.residual[t]! + fit.error(i));
    const s = speed[i]!;
    const p = pressureRatio[i]!;
    if (!(s > 1) || !(p > 0)) continue;
    places.time[k] = places.time[k]! + grid.step;
    places.speed[k] = places.speed[k]! + grid.step * s;
    places.pressure[k] = places.pressure[k]! + grid.step * p;
    filling.sum += (grid.step * metered[i]!) / (s * p);
    filling.ln += grid.step * Math.log(metered[i]! / (s * p));
    filling.time += grid.step;
    if (p > loadedFrom) loaded += grid.step;
  }
  const clean = (list: number[]): number[] => list.map(rounded);
  return {
    seconds: clean(seconds),
    seen: { weight: clean(seen.weight), sum: clean(seen.sum) },
    places: { time: clean(places.time), speed: clean(places.speed), pressure: clean(places.pressure) },
    filling: { sum: rounded(filling.sum), ln: rounded(filling.ln), time: rounded(filling.time) },
    outside: { sum: rounded(outside * filling.time) || 0, time: outside > 0 ? rounded(filling.time) : 0 },
    loaded: rounded(loaded),
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
 * Adds evidence about the same reference. `mergeSums(sumsOf(a), sumsOf(b))` holds what `a` and `b` tell together, whatever the order; a record
 * that both hold counts once.
 *
 * @throws `E_SHAPE` when the sums are about different references
 */
export function mergeSums(a: RefineSums, b: RefineSums): RefineSums {
  const same =
    a.reference.flow.length === b.reference.flow.length &&
    a.reference.flow.every((flow, i) => flow === b.reference.flow[i]) &&
    a.reference.signal.every((signal, i) => signal === b.reference.signal[i]);
  if (!same)
    throw new BellmouthError({
      code: "E_SHAPE",
      message: "evidence about different curves does not add",
      found: `references from ${a.reference.flow[0]} and ${b.reference.flow[0]} kg/s on, or other signals`,
      accepted: "evidence made with one and the same table, or with the same `reference`",
      at: { path: "sums" },
    });
  return { ...a, drives: [...a.drives, ...b.drives] };
}

/** Rows left out of all drives, by reason. */
export const gatesOf = (sums: RefineSums): ReturnType<typeof countGates> =>
  sums.drives.reduce(
    (all, { summary }) => addGates(all, summary.gates),
    noGates as ReturnType<typeof countGates>,
  );
