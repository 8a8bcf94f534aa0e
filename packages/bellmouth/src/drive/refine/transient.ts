import { choleskyFactor, choleskySolve } from "./cholesky.js";
import { product } from "./series.js";
import type { Timeline } from "./timeline.js";
import { lagDecay, lagMean, lowPass } from "./transport.js";

/**
 * What makes lambda differ from the steady value while load changes.
 * Wall film: of the fuel dosed, `film` meets the wall and evaporates in `filmTime` (what the ECU compensates is already
 * taken off). Filling: the manifold takes air while its pressure rises, as much as the cylinders draw in `turns`
 * crankshaft revolutions, and the ECU's own filter foresees the share `foreseen` of it.
 *
 * @source C. F. Aquino, SAE 810494 (1981) for the film; E. Hendricks, S. C. Sorenson, SAE 900616 (1990) for the manifold.
 */
export interface TransientLaw {
  /** [1] */
  readonly film: number;
  /** [s] */
  readonly filmTime: number;
  /** [1] */
  readonly turns: number;
  /** [1] */
  readonly foreseen: number;
  /** Lag of the meter itself [s]. */
  readonly meterLag: number;
}

/** What is known of the manifold from the log. */
export interface Manifold {
  /** One over engine speed at every row [s]; a middling speed where it is not logged. */
  readonly turnTime: Float64Array;
  /** Where the manifold's pressure is logged finely; else null. */
  readonly pressure: ManifoldPressure | null;
}

/** Shape of the air drawn by the cylinders, by pressure and speed. */
export interface ManifoldPressure {
  /** [kg/s], right up to a slowly varying factor */
  readonly drawn: Float64Array;
  /** Change of pressure since the row before, as the air it stands for per revolution's worth of `turns` [kg] */
  readonly taken: Float64Array;
}

/** Coarsest step of logged manifold pressure, over outside pressure, that transients can be taken from [1]. */
const coarsest = 0.012;

/**
 * Reads the manifold's side of a drive.
 *
 * @param error ln(true/metered air) of every row as far as known [1]: air drawn by pressure is compared with the true flow
 */
export function manifoldOf(timeline: Timeline, error: Float64Array): Manifold {
  const { speed, pressureRatio, grid } = timeline;
  const n = grid.n;
  const turnTime = new Float64Array(n);
  let now = 1 / 30;
  for (let t = 0; t < n; t++) {
    const s = speed[t]!;
    if (s > 3) now = 1 / s;
    turnTime[t] = now;
  }
  let still = 0;
  let moving = 0;
  let least = Number.POSITIVE_INFINITY;
  for (let t = 1; t < n; t++) {
    const step = Math.abs(pressureRatio[t]! - pressureRatio[t - 1]!);
    if (step > 1e-9) {
      moving++;
      if (step < least) least = step;
    } else if (!Number.isNaN(step)) still++;
  }
  const speeds = speed.some((v) => v > 3);
  if (!speeds || !(moving > 0.25 * still) || !(least < coarsest) || grid.step > 0.11)
    return { turnTime, pressure: null };
  return { turnTime, pressure: drawnByPressure(timeline, turnTime, error) };
}

/**
 * Air per revolution over pressure as a smooth function of speed and pressure, by least squares in ln over rows where little moves.
 * Only its shape matters: a common factor, and one that drifts, cancels in the filling effect.
 */
function drawnByPressure(
  timeline: Timeline,
  turnTime: Float64Array,
  error: Float64Array,
): ManifoldPressure | null {
  const { metered, pressureRatio, gate, clean, grid } = timeline;
  const n = grid.n;
  const back = Math.max(1, Math.round(0.5 / grid.step));
  const matrix = new Float64Array(terms * terms);
  const vector = new Float64Array(terms);
  const x = new Float64Array(terms);
  let rows = 0;
  for (let t = back; t < n; t += Math.max(1, back >> 1)) {
    const p = pressureRatio[t]!;
    const quiet = Math.abs(p - pressureRatio[t - back]!) < 0.04 * p;
    if (!quiet || clean[t] !== 1 || !(metered[t]! > 0) || gate[t] === 1) continue;
    const y = Math.log((metered[t]! * turnTime[t]!) / p) + error[t]!;
    shapeTerms(turnTime[t]!, p, x);
    for (let r = 0; r < terms; r++) {
      for (let c = 0; c < terms; c++) matrix[r * terms + c] = matrix[r * terms + c]! + x[r]! * x[c]!;
      vector[r] = vector[r]! + x[r]! * y;
    }
    rows++;
  }
  if (rows < 60) return null;
  for (let r = 0; r < terms; r++) matrix[r * terms + r] = matrix[r * terms + r]! + 1e-3;
  const factor = choleskyFactor(matrix, terms);
  if (factor === null) return null;
  const solved = choleskySolve(factor, terms, vector);
  return pressureSide(timeline, turnTime, solved);
}

/** The manifold's side of every row, by the solved shape. */
function pressureSide(timeline: Timeline, turnTime: Float64Array, solved: Float64Array): ManifoldPressure {
  const { metered, pressureRatio, restart } = timeline;
  const n = turnTime.length;
  const drawn = new Float64Array(n);
  const taken = new Float64Array(n);
  const side: ManifoldPressure = { drawn, taken };
  const x = new Float64Array(terms);
  const perTurn = Math.exp(solved[0]!);
  let last = Number.NaN;
  for (let t = 0; t < n; t++) {
    const now = pressureRatio[t]!;
    const p = now > 0.02 ? now : last;
    shapeTerms(turnTime[t]!, p, x);
    let ln = 0;
    for (let r = 0; r < terms; r++) ln += solved[r]! * x[r]!;
    drawn[t] = !Number.isNaN(p) ? (Math.exp(ln) * p) / turnTime[t]! : metered[t]!;
    const step = restart[t] === 1 ? 0 : p - last;
    taken[t] = !Number.isNaN(step) ? perTurn * step : 0;
    last = p;
  }
  return side;
}

const terms = 6;

/** Powers of ln speed about 33 rev/s and of ln pressure ratio about 0.6. */
function shapeTerms(turnTime: number, pressureRatio: number, out: Float64Array): void {
  const s = -Math.log(turnTime * 33);
  const p = Math.log(pressureRatio / 0.6);
  out[0] = 1;
  out[1] = s;
  out[2] = s * s;
  out[3] = s * s * s;
  out[4] = p;
  out[5] = p * p;
}

/** Air that the cylinders draw [kg/s] where only the metered air tells: a lag of `turns` revolutions of the air per revolution. */
export function drawnByFlow(timeline: Timeline, manifold: Manifold, turns: number): Float64Array {
  const { metered, restart, grid } = timeline;
  const { turnTime } = manifold;
  const out = new Float64Array(grid.n);
  let perTurn = 0;
  for (let t = 0; t < grid.n; t++) {
    const turn = turnTime[t]!;
    if (t === 0 || restart[t] === 1) perTurn = metered[t]! * turn;
    else {
      const decay = lagDecay(turns * turn, grid.step);
      const mean = lagMean(decay, turns * turn, grid.step);
      perTurn =
        decay * perTurn +
        (mean - decay) * metered[t - 1]! * turnTime[t - 1]! +
        (1 - mean) * metered[t]! * turn;
    }
    out[t] = perTurn / turn;
  }
  return out;
}

/** Air as the ECU doses by it [kg/s], and ln of the air in the cylinders over it [1]. */
export interface Filling {
  readonly believed: Float64Array;
  readonly effect: Float64Array;
}

/**
 * Manifold filling for a law. Where the manifold's pressure is logged, it tells what the cylinders draw, and together with what the
 * manifold takes in also what passes the meter between two rows, however short the rush of air. Else the air drawn at every revolution
 * lags the metered air per revolution: when engine speed jumps, the air drawn jumps with it although the metered
 * air has not moved yet.
 */
export function fillingOf(timeline: Timeline, manifold: Manifold, law: TransientLaw): Filling {
  const { metered, restart, grid } = timeline;
  const { turnTime, pressure } = manifold;
  const n = grid.n;
  const believed = new Float64Array(n);
  const { step } = grid;
  const air = pressure?.drawn ?? metered;
  const effect = pressure === null ? drawnByFlow(timeline, manifold, law.turns) : Float64Array.from(air);
  const filling: Filling = { believed, effect };
  const taken = pressure === null ? null : pressure.taken;
  const { turns, meterLag } = law;
  const share = turns * law.foreseen;
  let seen = 0;
  for (let t = 0; t < n; t++) {
    if (t === 0 || restart[t] === 1) seen = air[t]!;
    else {
      const lag = share * turnTime[t]! + meterLag;
      const decay = lagDecay(lag, step);
      const mean = lagMean(decay, lag, step);
      seen = decay * seen + (mean - decay) * air[t - 1]! + (1 - mean) * air[t]!;
      if (taken !== null) seen += ((1 - decay) * turns * taken[t]!) / step;
    }
    believed[t] = Math.max(0.1 * air[t]!, seen);
    effect[t] = Math.log(Math.min(4, Math.max(0.25, effect[t]! / believed[t]!)));
  }
  return filling;
}

/**
 * Share of the dosed fuel that a film of time constant `filmTime` [s] holds back just now, per unit of film fraction [1];
 * negative when it gives back.
 */
export function heldBack(timeline: Timeline, believed: Float64Array, filmTime: number): Float64Array {
  const { fuelPerAir, restart, grid } = timeline;
  const dosed = product(believed, fuelPerAir);
  const slow = lowPass(dosed, filmTime, grid.step, restart);
  missingShare(slow, dosed);
  return slow;
}

/** What evaporates from the film, in place: into the share of the dosed fuel that is missing. */
function missingShare(slow: Float64Array, dosed: Float64Array): void {
  for (let t = 0; t < slow.length; t++) {
    const now = dosed[t]!;
    slow[t] = now > 0 ? Math.max(-3, 1 - slow[t]! / now) : 0;
  }
}

/** ln lambda from the film: -ln(1 - film * held) [1]. */
export const filmEffect = (held: number, film: number): number => -Math.log(Math.max(0.2, 1 - film * held));
