import { choleskyFactor, choleskySolve } from "./cholesky.js";
import { type FieldPlaces, fieldPlaces, nodeCount, overNodes } from "./field.js";
import { at, type DriveLaw, extraShapes, type LawParameter, lawOf } from "./law.js";
import type { Basis, Mixing } from "./pass.js";
import { placeAmong, type Reference } from "./reference.js";
import { addScaled, divide, inverted, logarithms, multiply, positive, scale, slopes } from "./series.js";
import type { Timeline } from "./timeline.js";
import { drawnByFlow, fillingOf, filmEffect, heldBack, type Manifold, manifoldOf } from "./transient.js";
import {
  carried,
  cumulativeAir,
  lagDecay,
  lagMean,
  lowPass,
  type Transport,
  transportOf,
} from "./transport.js";

/** What is computed once for a drive. */
export interface Bench {
  readonly timeline: Timeline;
  /** Knots of the unknown curve, in ln reference flow [1]. */
  readonly knots: Float64Array;
  readonly basis: Basis;
  /** What is known to be off about the metered air: ln(reference/executed) [1]. */
  readonly known: Float64Array;
  readonly field: FieldPlaces | null;
  readonly air: Float64Array;
  readonly manifold: Manifold;
  /** Rates of the logarithm of engine speed, metered air and manifold pressure [1/s]; 0 where not logged. */
  readonly rates: { readonly [what in "speed" | "flow" | "pressure"]: Float64Array };
}

/** Largest rate taken as real [1/s]. */
const fastest = 10;

function rateOf(series: Float64Array, { grid, restart }: Timeline): Float64Array {
  const out = new Float64Array(grid.n);
  for (let t = 1; t < grid.n - 1; t++) {
    if (restart[t] === 1 || restart[t + 1] === 1) continue;
    const rate = Math.log(series[t + 1]! / series[t - 1]!) / (2 * grid.step);
    if (Number.isFinite(rate)) out[t] = Math.max(-fastest, Math.min(fastest, rate));
  }
  return out;
}

/** The part of a drive's preparation that does not change while it is fitted. */
export type Laid = Pick<Bench, "timeline" | "knots" | "basis" | "known" | "field">;

/** Least air that is told apart [kg/s]: a table may hold a cell at no flow. */
const leastAir = 1e-12;

/** Lays a drive on the knots: straight lines in ln reference flow. */
export function layOn(reference: Reference, knots: Float64Array, timeline: Timeline): Laid {
  const { signal, metered, grid, speed, pressureRatio } = timeline;
  const cell = new Int32Array(grid.n);
  const left = new Float64Array(grid.n);
  const right = new Float64Array(grid.n);
  const known = new Float64Array(grid.n);
  let before = Number.NaN;
  let x = 0;
  for (let t = 0; t < grid.n; t++) {
    if (signal[t] !== before) {
      before = signal[t]!;
      x = reference.lnFlow(before);
    }
    const air = Math.max(leastAir, metered[t]!);
    const { left: k, share } = placeAmong(knots, x);
    cell[t] = k;
    left[t] = (1 - share) * air;
    right[t] = share * air;
    known[t] = air > leastAir ? x - Math.log(air) : 0;
  }
  const basis: Basis = { size: knots.length, cell, left, right, field: null };
  return { timeline, knots, basis, known, field: fieldPlaces(speed, pressureRatio) };
}

/** ln(true/metered air) at every row [1], for given errors at the knots. */
function errorOf({ basis, known }: Laid, theta: Float64Array): Float64Array {
  const { cell, left, right } = basis;
  const error = new Float64Array(cell.length);
  for (let t = 0; t < error.length; t++) {
    const c = cell[t]!;
    error[t] = known[t]! + (left[t]! * theta[c]! + right[t]! * theta[c + 1]!) / (left[t]! + right[t]!);
  }
  return error;
}

/** Revolutions of a usual manifold's lag, for following the exhaust where no pressure is logged [1]. */
const usualTurns = 3.7;

/**
 * Prepares a drive for its fit.
 *
 * @param theta ln(true/reference flow) at the knots as far as known [1]: the manifold's pressure is read by it
 */
export function benchOf(laid: Laid, theta: Float64Array): Bench {
  const { timeline } = laid;
  const manifold = manifoldOf(timeline, errorOf(laid, theta));
  const drawn = manifold.pressure?.drawn ?? drawnByFlow(timeline, manifold, usualTurns);
  return {
    ...laid,
    manifold,
    air: cumulativeAir(drawn, timeline.grid.step),
    rates: {
      speed: rateOf(timeline.speed, timeline),
      flow: rateOf(timeline.metered, timeline),
      pressure: rateOf(timeline.pressureRatio, timeline),
    },
  };
}

/** How long air of before is still in the filling at every row: the ECU's filter where pressure is logged, else the manifold. */
export function mixingOf(bench: Bench, law: DriveLaw): Mixing {
  const { timeline, manifold } = bench;
  const { n, step } = timeline.grid;
  const decay = new Float64Array(n);
  const before = new Float64Array(n);
  const now = new Float64Array(n);
  const mixing: Mixing = { decay, before, now };
  const turns = law.transient.turns * (manifold.pressure === null ? 1 : law.transient.foreseen);
  for (let t = 0; t < n; t++) {
    const lag = turns * manifold.turnTime[t]!;
    const left = lagDecay(lag, step);
    const mean = lagMean(left, lag, step);
    decay[t] = left;
    before[t] = mean - left;
    now[t] = 1 - mean;
  }
  return mixing;
}

/** ln(true/metered air) in the filling at every row [1], for given errors at the knots. */
export const tableError = (bench: Bench, mixing: Mixing, theta: Float64Array): Float64Array =>
  mixed(bench, mixing, errorOf(bench, theta));

/**
 * What is off about the air at the meter, as the ECU doses by it at every row: it doses by air it has filtered, and air of different errors
 * mixes by flow. A leak too counts against the flow of a moment ago: else it would show in the wrong instant whenever load comes or goes,
 * and half of it would be missed.
 *
 * @param column ln(true/metered air) at the meter [1]
 */
export function mixed(bench: Bench, mixing: Mixing, column: Float64Array): Float64Array {
  const { timeline } = bench;
  const { restart, metered } = timeline;
  const { decay, before, now } = mixing;
  const out = new Float64Array(column.length);
  let flow = 0;
  let excess = 0;
  for (let t = 0; t < out.length; t++) {
    const m = metered[t]!;
    const x = m * column[t]!;
    if (t === 0 || restart[t] === 1) {
      flow = m;
      excess = x;
    } else {
      const last = metered[t - 1]!;
      flow = decay[t]! * flow + before[t]! * last + now[t]! * m;
      excess = decay[t]! * excess + before[t]! * last * column[t - 1]! + now[t]! * x;
    }
    out[t] = excess / flow;
  }
  return out;
}

/** What a law makes of a drive, up to the sensor. */
export interface Predicted {
  readonly law: DriveLaw;
  readonly mixing: Mixing;
  readonly transport: Transport;
  readonly held: Float64Array;
  readonly extras: readonly Float64Array[];
  readonly believed: Float64Array;
  /** ln of the air in the cylinders over the air believed [1]. */
  readonly filling: Float64Array;
  /** 1/lambda in the cylinders, and as the sensor shows it [1]. */
  readonly inverse: Float64Array;
  readonly shownInverse: Float64Array;
  /** ln lambda as the sensor shows it [1]. */
  readonly shown: Float64Array;
}

/**
 * Predicted ln lambda. The sensor's lag acts on the excess of oxygen or fuel, which goes with 1/lambda.
 *
 * @param theta ln(true/reference flow) at the knots [1]
 */
export function predict(bench: Bench, law: DriveLaw, theta: Float64Array): Predicted {
  const { timeline, manifold, air } = bench;
  const { target, trim, restart } = timeline;
  const mixing = mixingOf(bench, law);
  const error = tableError(bench, mixing, theta);
  const { believed, effect } = fillingOf(timeline, manifold, law.transient);
  const held = heldBack(timeline, believed, law.transient.filmTime);
  const extras = extraShapes.map((shape): Float64Array => {
    if (shape.kind === "film") return heldBack(timeline, believed, shape.time);
    if (shape.kind === "filling") return positive(effect);
    return bench.rates[shape.kind];
  });
  const inverse = filmEffects(held, law.transient.film);
  addScaled(inverse, 1, target);
  addScaled(inverse, -1, trim);
  addScaled(inverse, 1, error);
  addScaled(inverse, 1, effect);
  for (let e = 0; e < extras.length; e++) addScaled(inverse, law.extras[e]!, extras[e]!);
  inverted(inverse);
  const transport = transportOf(timeline, air, law.transport);
  const shownInverse = carried(inverse, transport, restart);
  const shown = logarithms(shownInverse, 0.05);
  scale(shown, -1);
  return {
    law,
    mixing,
    transport,
    held,
    extras,
    believed,
    filling: effect,
    inverse,
    shownInverse,
    shown,
  };
}

/** Columns of the law's parameters: change of the predicted ln lambda per unit of each [1]. */
export function lawColumns(
  bench: Bench,
  now: Predicted,
  parameters: readonly LawParameter[],
  p: Float64Array,
): Float64Array[] {
  const { timeline, manifold, air } = bench;
  const { restart, grid } = timeline;
  const { inverse, shownInverse, held, filling } = now;
  const { film } = now.law.transient;
  /** Change of ln lambda in the cylinders. */
  const changeOf = (k: number, law: DriveLaw, step: number): Float64Array => {
    if (k === at.film) return filmSlopes(held, film);
    if (k === at.filmTime) {
      const other = heldBack(timeline, now.believed, law.transient.filmTime);
      return slopes(filmEffects(other, film), filmEffects(held, film), step);
    }
    if (k < at.extras) return slopes(fillingOf(timeline, manifold, law.transient).effect, filling, step);
    return Float64Array.from(now.extras[k - at.extras]!);
  };
  return parameters.map(({ least, most, step }, k) => {
    if (least === most) return new Float64Array(grid.n);
    const q = Float64Array.from(p);
    q[k] = q[k]! + step;
    const law = lawOf(q);
    if (k <= at.lag) {
      const moved = carried(inverse, transportOf(timeline, air, law.transport), restart);
      const column = slopes(shownInverse, moved, step);
      divide(column, shownInverse);
      return column;
    }
    const change = changeOf(k, law, step);
    multiply(change, inverse);
    const column = carried(change, now.transport, restart);
    divide(column, shownInverse);
    return column;
  });
}

/** Part of a change of load that no transient law is trusted to explain, next to the part it does explain [1]. */
const plainMotion = 0.1;

/** Square of what the transients moved since the row before, as the sensor sees it. */
export function motionOf(bench: Bench, now: Predicted): Float64Array {
  const { metered, restart } = bench.timeline;
  const transient = filmEffects(now.held, now.law.transient.film);
  addScaled(transient, 1, now.filling);
  const load = logarithms(metered, 0);
  const a = carried(transient, now.transport, restart);
  const b = carried(load, now.transport, restart);
  return steps(a, b);
}

function filmEffects(held: Float64Array, film: number): Float64Array {
  const out = new Float64Array(held.length);
  for (let t = 0; t < out.length; t++) out[t] = filmEffect(held[t]!, film);
  return out;
}

/** Change of `filmEffect` per unit of film. */
function filmSlopes(held: Float64Array, film: number): Float64Array {
  const out = new Float64Array(held.length);
  for (let t = 0; t < out.length; t++) out[t] = held[t]! / Math.max(0.2, 1 - film * held[t]!);
  return out;
}

function steps(transient: Float64Array, load: Float64Array): Float64Array {
  const out = new Float64Array(load.length);
  for (let t = 1; t < out.length; t++)
    out[t] = (transient[t]! - transient[t - 1]!) ** 2 + plainMotion ** 2 * (load[t]! - load[t - 1]!) ** 2;
  return out;
}

/** Slow changes of the meter's reading that are no noise of its own [s]. */
const meterMemory = 5;

/**
 * What the meter's own noise does to the mixture, per unit [1]: fuel follows it, and a free field would take that for air. The logarithm
 * of the metered air less its fit by the field's hats, without what changes slowly; null where the field is not known.
 */
export function meterNoise({ timeline, field }: Laid): Float64Array | null {
  if (field === null) return null;
  const { metered, speed, pressureRatio, restart, clean, grid } = timeline;
  const y = new Float64Array(grid.n).fill(Number.NaN);
  const m = nodeCount;
  const normal = new Float64Array(m * m);
  const right = new Float64Array(m);
  const nodes = new Int32Array(4);
  const shares = new Float64Array(4);
  let count = 0;
  const collect = (k: number, w: number): void => {
    nodes[count] = k;
    shares[count++] = w;
  };
  for (let t = 0; t < grid.n; t++) {
    if (field.node[t]! < 0 || clean[t] !== 1 || !(metered[t]! > 0)) continue;
    y[t] = Math.log(metered[t]! / (speed[t]! * pressureRatio[t]!));
    count = 0;
    overNodes(field, t, collect);
    for (let a = 0; a < count; a++) {
      const r = nodes[a]!;
      right[r] = right[r]! + shares[a]! * y[t]!;
      for (let b = 0; b < count; b++) {
        const c = nodes[b]!;
        normal[r * m + c] = normal[r * m + c]! + shares[a]! * shares[b]!;
      }
    }
  }
  for (let k = 0; k < m; k++) normal[k * m + k] = normal[k * m + k]! + 1e-3;
  const factor = choleskyFactor(normal, m);
  if (factor === null) return null;
  const usual = choleskySolve(factor, m, right);
  let before = 0;
  for (let t = 0; t < grid.n; t++) {
    if (!Number.isNaN(y[t])) {
      count = 0;
      overNodes(field, t, collect);
      before = y[t]!;
      for (let a = 0; a < count; a++) before -= shares[a]! * usual[nodes[a]!]!;
    }
    y[t] = before;
  }
  const slow = lowPass(y, meterMemory, grid.step, restart);
  for (let t = 0; t < grid.n; t++) y[t] = slow[t]! - y[t]!;
  return y;
}
