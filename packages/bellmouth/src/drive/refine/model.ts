import type { TransferCurve } from "../../sensor/index.js";
import { at, type DriveLaw, extraShapes, type LawParameter, lawOf } from "./law.js";
import type { Basis, Mixing } from "./pass.js";
import type { Timeline } from "./timeline.js";
import { drawnByFlow, fillingOf, filmEffect, heldBack, type Manifold, manifoldOf } from "./transient.js";
import { carried, cumulativeAir, lagRecursion, type Transport, transportOf } from "./transport.js";

/** What is computed once for a drive. */
export interface Bench {
  readonly timeline: Timeline;
  readonly basis: Basis;
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

/** The straight-line basis of a table at every row: the ECU's own interpolation, so cells mean what it executes. */
export function basisOf(curve: TransferCurve, timeline: Timeline): Basis {
  const { cell, share, grid } = timeline;
  const left = new Float64Array(grid.n);
  const right = new Float64Array(grid.n);
  for (let t = 0; t < grid.n; t++) {
    const c = cell[t]!;
    const x = share[t]!;
    left[t] = (1 - x) * curve.cells[c]!.flow;
    right[t] = x * curve.cells[c + 1]!.flow;
  }
  return { size: curve.cells.length, cell, left, right };
}

/** Revolutions of a usual manifold's lag, for following the exhaust where no pressure is logged [1]. */
const usualTurns = 3.7;

/**
 * Prepares a drive for its fit.
 *
 * @param theta ln(true/table flow) of each cell as far as known [1]: the manifold's pressure is read by it
 */
export function benchOf(curve: TransferCurve, timeline: Timeline, theta: Float64Array): Bench {
  const basis = basisOf(curve, timeline);
  const { cell, left, right } = basis;
  const error = new Float64Array(timeline.grid.n);
  for (let t = 0; t < error.length; t++) {
    const c = cell[t]!;
    error[t] = (left[t]! * theta[c]! + right[t]! * theta[c + 1]!) / (left[t]! + right[t]!);
  }
  const manifold = manifoldOf(timeline, error);
  const drawn = manifold.pressure?.drawn ?? drawnByFlow(timeline, manifold, usualTurns);
  return {
    timeline,
    basis,
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
  const turns = law.transient.turns * (manifold.pressure === null ? 1 : law.transient.foreseen);
  for (let t = 0; t < n; t++) {
    const lag = lagRecursion(turns * manifold.turnTime[t]!, step);
    decay[t] = lag.decay;
    before[t] = lag.before;
    now[t] = lag.now;
  }
  return { decay, before, now };
}

/** ln(true/metered air) in the filling at every row [1], for given cell errors: air of different errors mixes by flow. */
export function tableError(bench: Bench, mixing: Mixing, theta: Float64Array): Float64Array {
  const { basis, timeline } = bench;
  const { cell, left, right } = basis;
  const { restart } = timeline;
  const out = new Float64Array(cell.length);
  let metered = 0;
  let off = 0;
  let meteredBefore = 0;
  let offBefore = 0;
  for (let t = 0; t < out.length; t++) {
    const c = cell[t]!;
    const flow = left[t]! + right[t]!;
    const excess = left[t]! * theta[c]! + right[t]! * theta[c + 1]!;
    if (t === 0 || restart[t] === 1) {
      metered = flow;
      off = excess;
    } else {
      metered = mixing.decay[t]! * metered + mixing.before[t]! * meteredBefore + mixing.now[t]! * flow;
      off = mixing.decay[t]! * off + mixing.before[t]! * offBefore + mixing.now[t]! * excess;
    }
    meteredBefore = flow;
    offBefore = excess;
    out[t] = off / metered;
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

const logged = (shownInverse: Float64Array): Float64Array => {
  const out = new Float64Array(shownInverse.length);
  for (let t = 0; t < out.length; t++) out[t] = -Math.log(Math.max(0.05, shownInverse[t]!));
  return out;
};

/**
 * Predicted ln lambda. The sensor's lag acts on the excess of oxygen or fuel, which goes with 1/lambda.
 *
 * @param theta ln(true/table flow) of each cell [1]
 */
export function predict(bench: Bench, law: DriveLaw, theta: Float64Array): Predicted {
  const { timeline, manifold, air } = bench;
  const { target, trim, restart, grid } = timeline;
  const n = grid.n;
  const mixing = mixingOf(bench, law);
  const error = tableError(bench, mixing, theta);
  const { believed, effect } = fillingOf(timeline, manifold, law.transient);
  const held = heldBack(timeline, believed, law.transient.filmTime);
  const extras = extraShapes.map((shape): Float64Array => {
    if (shape.kind === "film") return heldBack(timeline, believed, shape.time);
    if (shape.kind === "filling") return effect.map((value) => Math.max(value, 0));
    return bench.rates[shape.kind];
  });
  const { film } = law.transient;
  const inverse = new Float64Array(n);
  for (let t = 0; t < n; t++) {
    let u = target[t]! - trim[t]! + error[t]! + filmEffect(held[t]!, film) + effect[t]!;
    for (let e = 0; e < extras.length; e++) u += law.extras[e]! * extras[e]![t]!;
    inverse[t] = Math.exp(-u);
  }
  const transport = transportOf(timeline, air, law.transport);
  const shownInverse = carried(inverse, transport, restart);
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
    shown: logged(shownInverse),
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
  const n = grid.n;
  const { inverse, shownInverse } = now;
  /** Change of ln lambda at the sensor for a change of ln lambda in the cylinders. */
  const through = (change: Float64Array): Float64Array => {
    for (let t = 0; t < n; t++) change[t] = change[t]! * inverse[t]!;
    const out = carried(change, now.transport, restart);
    for (let t = 0; t < n; t++) out[t] = out[t]! / shownInverse[t]!;
    return out;
  };
  return parameters.map((parameter, k) => {
    if (parameter.least === parameter.most) return new Float64Array(n);
    const q = Float64Array.from(p);
    q[k] = q[k]! + parameter.step;
    const law = lawOf(q);
    if (k <= at.lag) {
      const moved = carried(inverse, transportOf(timeline, air, law.transport), restart);
      for (let t = 0; t < n; t++) moved[t] = (1 - moved[t]! / shownInverse[t]!) / parameter.step;
      return moved;
    }
    const change = new Float64Array(n);
    if (k === at.film) {
      const { film } = now.law.transient;
      for (let t = 0; t < n; t++) change[t] = now.held[t]! / Math.max(0.2, 1 - film * now.held[t]!);
    } else if (k === at.filmTime) {
      const held = heldBack(timeline, now.believed, law.transient.filmTime);
      const { film } = now.law.transient;
      for (let t = 0; t < n; t++)
        change[t] = (filmEffect(held[t]!, film) - filmEffect(now.held[t]!, film)) / parameter.step;
    } else if (k < at.extras) {
      const { effect } = fillingOf(timeline, manifold, law.transient);
      for (let t = 0; t < n; t++) change[t] = (effect[t]! - now.filling[t]!) / parameter.step;
    } else change.set(now.extras[k - at.extras]!);
    return through(change);
  });
}

/** Part of a change of load that no transient law is trusted to explain, next to the part it does explain [1]. */
const plainMotion = 0.1;

/** Square of what the transients moved since the row before, as the sensor sees it. */
export function motionOf(bench: Bench, now: Predicted): Float64Array {
  const { metered, restart } = bench.timeline;
  const n = metered.length;
  const transient = new Float64Array(n);
  const load = new Float64Array(n);
  const { film } = now.law.transient;
  for (let t = 0; t < n; t++) {
    transient[t] = filmEffect(now.held[t]!, film) + now.filling[t]!;
    load[t] = Math.log(metered[t]!);
  }
  const a = carried(transient, now.transport, restart);
  const b = carried(load, now.transport, restart);
  const out = new Float64Array(n);
  for (let t = 1; t < n; t++) out[t] = (a[t]! - a[t - 1]!) ** 2 + plainMotion ** 2 * (b[t]! - b[t - 1]!) ** 2;
  return out;
}
