import type { TransferCurve } from "../../sensor/index.js";
import type { Drive, DriveChannel } from "../drive.js";
import { gateWhereFeedbackRests } from "./feedback-gate.js";
import { gateCode, lambdaLimits } from "./gate.js";
import type { MixtureSource } from "./mixture-source.js";
import { binned, type Grid, resample, spacing } from "./resample.js";

/** A drive on an even grid, ready for the fit: what went into the engine, and what came out. */
export interface Timeline {
  readonly grid: Grid;
  /** Left cell of the signal and its share of the way to the next [1]. */
  readonly cell: Int32Array;
  readonly share: Float64Array;
  /** The meter's signal [Hz] or [V], held where it is not known. */
  readonly signal: Float64Array;
  /** Metered air by the table [kg/s]. */
  readonly metered: Float64Array;
  /** ln of both trims together, and of the target [1]. */
  readonly trim: Float64Array;
  readonly target: Float64Array;
  /** 1 while fuel is injected, as far as lambda tells. */
  readonly fuelled: Uint8Array;
  /** Fuel dosed per believed air, over the stoichiometric [1]; 0 while it is cut. */
  readonly fuelPerAir: Float64Array;
  /** [rev/s]; NaN all over when not logged. */
  readonly speed: Float64Array;
  /** Manifold over outside pressure [1]; NaN all over when not logged. */
  readonly pressureRatio: Float64Array;
  /** Outside pressure [Pa], the mean; NaN when the log does not tell. */
  readonly outside: number;
  /** Rate of change of the manifold's pressure over outside pressure [1/s]; NaN all over when not logged. */
  readonly filling: Float64Array;
  /** 1 where the input is known and the engine is fuelled. */
  readonly clean: Uint8Array;
  /** ln of measured lambda [1]; NaN where there is no sample. */
  readonly lambda: Float64Array;
  /** When each sample of lambda was taken, after its row's instant [s]. */
  readonly offset: Float64Array;
  /** Gate codes of what came out, before settling is known. */
  readonly gate: Uint8Array;
  /** 1 on the first row and after each gap. */
  readonly restart: Uint8Array;
}

export interface TimelineOptions {
  /** Coolant from which the engine counts as warm [K]. */
  readonly warmFrom: number;
  /** Grid step aimed at [s]. */
  readonly step: number;
  /** What tells the mixture; with trims alone, their sum takes lambda's place. */
  readonly source: MixtureSource;
  /** True when rows have no time: each becomes a second of its own. */
  readonly untimed: boolean;
}

/** Trims from here on count as at their limit [1]; ECUs clip at 20 to 30 %, common practice, no source. */
const trimLimit = 0.245;

/** Channels of a log without time: every row a second after the one before. */
function rowsAsSeconds(channels: Drive["channels"]): Drive["channels"] {
  const out: { -readonly [name in keyof Drive["channels"]]: Drive["channels"][name] } = {};
  for (const [name, channel] of Object.entries(channels) as [keyof Drive["channels"], DriveChannel][])
    out[name] = { time: Float64Array.from(channel.value, (_, i) => i), value: channel.value };
  return out;
}

/** The grid of a drive: whole numbers of samples a step where the log is fast, whole steps a sample where it is slow. */
export function gridOf(signal: DriveChannel, observed: DriveChannel, aim: number): Grid {
  const start = Math.max(signal.time[0] ?? 0, observed.time[0] ?? 0);
  const end = Math.min(signal.time.at(-1) ?? 0, observed.time.at(-1) ?? 0);
  const rate = Math.min(spacing(signal), spacing(observed));
  const step = rate < aim ? rate * Math.max(1, Math.round(aim / rate)) : rate / Math.ceil(rate / 0.1 - 1e-6);
  const n = step > 0 && end > start ? Math.floor((end - start) / step + 1e-6) + 1 : 0;
  return { start, step, n };
}

const missing = (n: number): Float64Array => new Float64Array(n).fill(Number.NaN);

/**
 * Lays a drive on its grid and gates it.
 *
 * @param drive needs `signal`, and `lambda` or trims as `options.source` says
 */
export function timelineOf(curve: TransferCurve, drive: Drive, options: TimelineOptions): Timeline {
  const trimsTell = options.source === "trims";
  const channels = options.untimed ? rowsAsSeconds(drive.channels) : drive.channels;
  const signalChannel = channels.signal as DriveChannel;
  const observedChannel = (
    trimsTell ? (channels.shortTrim ?? channels.longTrim) : channels.lambda
  ) as DriveChannel;
  const grid = options.untimed
    ? { start: 0, step: 1, n: signalChannel.value.length }
    : gridOf(signalChannel, observedChannel, options.step);
  const { n, step } = grid;
  const on = (channel: DriveChannel | undefined, reach: number): Float64Array =>
    channel === undefined ? missing(n) : resample(channel, grid, Math.max(reach, 3 * spacing(channel)));
  const signal = on(signalChannel, 0.5);
  const short = channels.shortTrim === undefined ? new Float64Array(n) : on(channels.shortTrim, 1);
  const long = channels.longTrim === undefined ? new Float64Array(n) : on(channels.longTrim, 10);
  const targetKnown = channels.lambdaTarget !== undefined;
  const targetValue = on(channels.lambdaTarget, 1);
  const coolant = on(channels.coolant, 30);
  const speed = on(channels.engineSpeed, 1);
  const manifold = on(channels.manifoldPressure, 1);
  const barometer = on(channels.barometer, 600);
  const throttle = on(channels.throttle, 1);
  const { value: observed, offset } = binned(observedChannel, grid);

  const cells = curve.cells;
  const cell = new Int32Array(n);
  const share = new Float64Array(n);
  const metered = new Float64Array(n);
  const trim = new Float64Array(n);
  const target = new Float64Array(n);
  const fuelled = new Uint8Array(n).fill(1);
  const pressureRatio = missing(n);
  const filling = missing(n);
  const clean = new Uint8Array(n);
  const lambda = missing(n);
  const gate = new Uint8Array(n);
  const restart = new Uint8Array(n);
  const limits = trimsTell ? { least: 0, greatest: 0 } : lambdaLimits(observed);
  const last = cells.length - 1;
  const codes = {
    missing: gateCode("missing"),
    cold: gateCode("cold"),
    outside: gateCode("outside the table"),
    cut: gateCode("fuel cut"),
    limit: gateCode("lambda at its limit"),
    target: gateCode("target unknown"),
    trim: gateCode("trim saturated"),
    open: gateCode("open loop"),
  };
  const outside = barometer.some((p) => p > 0) ? Number.NaN : maximum(manifold);
  let at = 0;
  let gap = true;
  for (let t = 0; t < n; t++) {
    const s = signal[t]!;
    const known = !Number.isNaN(s) && !Number.isNaN(short[t]!) && !Number.isNaN(long[t]!);
    if (known) {
      restart[t] = gap ? 1 : 0;
      gap = false;
      while (at < last - 1 && s >= cells[at + 1]!.signal) at++;
      while (at > 0 && s < cells[at]!.signal) at--;
      const a = cells[at]!;
      const b = cells[at + 1]!;
      const x = Math.min(1, Math.max(0, (s - a.signal) / (b.signal - a.signal)));
      cell[t] = at;
      share[t] = x;
      metered[t] = a.flow + x * (b.flow - a.flow);
      const both = Math.log1p(short[t]!) + Math.log1p(long[t]!);
      trim[t] = trimsTell ? 0 : both;
      const aim = targetKnown ? targetValue[t]! : 1;
      target[t] = aim > 0 && !trimsTell ? Math.log(aim) : 0;
      clean[t] = metered[t]! > 0 && s >= cells[0]!.signal && s <= cells[last]!.signal ? 1 : 0;
      if (trimsTell) {
        // With lambda at hand a trim at its limit hides nothing: lambda shows what it leaves over.
        if (!(Math.abs(short[t]!) < trimLimit) || !(Math.abs(long[t]!) < trimLimit)) gate[t] = codes.trim;
        if (!Number.isNaN(observed[t])) lambda[t] = both;
        // An integrator that rests at exactly zero is switched off: warm-up, full load or overrun.
        if (channels.shortTrim !== undefined && Math.abs(short[t]!) < 1e-9) gate[t] = codes.open;
      } else if (targetKnown ? !(aim > 0) : throttle[t]! > 0.7 || observed[t]! < 0.93) gate[t] = codes.target;
      if (clean[t] === 0) gate[t] = codes.outside;
    } else {
      // What is not known is held, marked unclean, and memory of it fades before rows are used again.
      if (t > 0) {
        cell[t] = cell[t - 1]!;
        share[t] = share[t - 1]!;
        metered[t] = metered[t - 1]!;
        signal[t] = signal[t - 1]!;
        trim[t] = trim[t - 1]!;
        target[t] = target[t - 1]!;
      } else {
        metered[t] = cells[0]!.flow > 0 ? cells[0]!.flow : cells[1]!.flow;
        signal[t] = cells[0]!.flow > 0 ? cells[0]!.signal : cells[1]!.signal;
      }
      gate[t] = codes.missing;
      gap = true;
      restart[t] = t === 0 ? 1 : 0;
    }
    if (coolant[t]! < options.warmFrom) gate[t] = codes.cold;
    const value = observed[t]!;
    if (trimsTell) {
      if (Number.isNaN(lambda[t])) gate[t] = codes.missing;
    } else if (value > 0) {
      lambda[t] = Math.log(value);
      if (!(value > limits.least) || !(value < limits.greatest)) gate[t] = codes.limit;
    } else gate[t] = codes.missing;
    pressureRatio[t] = Math.min(1, manifold[t]! / (barometer[t]! > 0 ? barometer[t]! : outside));
  }
  for (let t = 1; t < n - 1; t++) filling[t] = (pressureRatio[t + 1]! - pressureRatio[t - 1]!) / (2 * step);
  if (!trimsTell)
    markFuelCut({
      lambda,
      target,
      gate,
      clean,
      fuelled,
      throttle,
      speed,
      step,
      n,
      code: codes.cut,
      ceiling: Math.log(limits.greatest),
    });
  if (trimsTell && !options.untimed)
    gateWhereFeedbackRests(
      {
        metered,
        speed,
        pressureRatio,
        throttle,
        gate,
        step,
      },
      { cut: codes.cut, open: codes.open },
    );
  const fuelPerAir = new Float64Array(n);
  for (let t = 0; t < n; t++) fuelPerAir[t] = fuelled[t] === 1 ? Math.exp(trim[t]! - target[t]!) : 0;
  return {
    grid,
    cell,
    share,
    signal,
    metered,
    trim,
    target,
    fuelled,
    fuelPerAir,
    speed,
    pressureRatio,
    outside: Number.isNaN(outside) ? meanOf(barometer) : outside,
    filling,
    clean,
    lambda,
    offset,
    gate,
    restart,
  };
}

/** Lean by more than this for longer than `cutSpike` is no mixture error but a fuel cut (ln lambda over target). */
const cutLean = 0.22;
const cutSpike = 0.35;
/** Share of the way to the sensor's lean end, in ln lambda, that a fuel cut reaches [1]. */
const cutReach = 0.9;
/** Lambda starts to rise this long before it passes `cutLean`, and is back this long after it fell below [s]. */
const cutBefore = 0.5;
const cutAfter = 0.5;
/** Lambda follows the throttle by about this [s]. */
const cutDelay = 0.35;
/** Throttle this little above where cuts were seen may still be one [1]. */
const cutMargin = 0.03;
/** A cut of this length shows in lambda, at the latest this long after it began [s]. */
const cutSure = 0.5;
const cutShows = 1.5;

interface CutRows {
  readonly lambda: Float64Array;
  readonly target: Float64Array;
  readonly gate: Uint8Array;
  readonly clean: Uint8Array;
  readonly fuelled: Uint8Array;
  readonly throttle: Float64Array;
  readonly speed: Float64Array;
  readonly step: number;
  readonly n: number;
  readonly code: number;
  /** ln of the leanest lambda that the sensor can show [1]; infinite where the log does not tell. */
  readonly ceiling: number;
}

/**
 * Fuel cut. Lambda shows that it happens; where throttle and engine speed are logged, the cuts so found tell below which
 * throttle and above which speed this ECU cuts, and every such moment is taken for one, also those too short for lambda to show.
 */
function markFuelCut(rows: CutRows): void {
  const { lambda, target, gate, clean, fuelled, throttle, speed, step, n, code, ceiling } = rows;
  const shift = Math.round(cutDelay / step);
  const openings: number[] = [];
  const speeds: number[] = [];
  // Without fuel lambda runs into the sensor's ceiling within a time constant; an engine that is lean for want of fuel stays below it.
  const least = Number.isFinite(ceiling) ? cutReach * ceiling : Number.NEGATIVE_INFINITY;
  let from = -1;
  let lastLean = -1;
  let leanest = Number.NEGATIVE_INFINITY;
  const close = (): void => {
    if (from >= 0 && leanest >= least && (lastLean - from + 1) * step >= cutSpike) {
      const a = Math.max(0, from - Math.round(cutBefore / step));
      const b = Math.min(n - 1, lastLean + Math.round(cutAfter / step));
      for (let t = a; t <= b; t++) gate[t] = code;
      for (let t = Math.max(0, from - shift); t <= Math.max(0, lastLean - shift); t++) {
        clean[t] = 0;
        fuelled[t] = 0;
        if (throttle[t]! >= 0 && speed[t]! > 0) {
          openings.push(throttle[t]!);
          speeds.push(speed[t]!);
        }
      }
    }
    from = -1;
    leanest = Number.NEGATIVE_INFINITY;
  };
  for (let t = 0; t < n; t++) {
    const value = lambda[t]!;
    if (Number.isNaN(value)) continue;
    if (value - target[t]! > cutLean) {
      if (from < 0) from = t;
      lastLean = t;
      if (value > leanest) leanest = value;
    } else if (from >= 0 && (t - lastLean) * step > 0.2) close();
  }
  close();
  if (openings.length < 20) return;
  openings.sort((a, b) => a - b);
  speeds.sort((a, b) => a - b);
  const seen = openings[openings.length >> 1]!;
  const slowest = 0.97 * speeds[Math.floor(0.05 * speeds.length)]!;
  const silent = silence(rows);
  const suspected = (t: number): boolean => throttle[t]! <= seen + cutMargin && speed[t]! >= slowest;
  for (let t = 0; t < n; t++) {
    if (!suspected(t)) {
      // The throttle tells better than the guessed delay when fuel was back.
      if (throttle[t]! > seen + cutMargin) {
        clean[t] = clean[t] === 0 && fuelled[t] === 0 ? 1 : clean[t]!;
        fuelled[t] = 1;
      }
      continue;
    }
    // A closed throttle is not yet a cut: one that lasts would show in lambda before long.
    const sure = silent(t);
    let end = t;
    while (end + 1 < n && suspected(end + 1) && silent(end + 1) === sure) end++;
    if (!sure || (end - t + 1) * step < cutSure)
      for (let k = t; k <= end; k++) {
        clean[k] = 0;
        fuelled[k] = throttle[k]! <= seen + 0.5 * cutMargin ? 0 : 1;
      }
    t = end;
  }
}

/** Whether lambda is read at every row for `cutShows` after it, and shows no sign of a cut. */
function silence({ lambda, target, n, step }: CutRows): (t: number) => boolean {
  const ahead = Math.round(cutShows / step);
  /** How long from here lambda goes on without a sign of a cut, and when it was read next [rows]. */
  const quiet = new Int32Array(n + 1);
  let read = Number.POSITIVE_INFINITY;
  for (let t = n - 1; t >= 0; t--) {
    const off = lambda[t]! - target[t]!;
    read = Number.isNaN(off) ? read + 1 : 0;
    quiet[t] = off > 0.5 * cutLean || read * step > 0.5 ? 0 : quiet[t + 1]! + 1;
  }
  return (t) => quiet[t]! > ahead;
}

function maximum(values: Float64Array): number {
  let best = Number.NaN;
  for (const value of values) if (!(value <= best)) best = !Number.isNaN(value) ? value : best;
  return best;
}

function meanOf(values: Float64Array): number {
  let sum = 0;
  let count = 0;
  for (const value of values)
    if (value > 0) {
      sum += value;
      count++;
    }
  return sum / count;
}
