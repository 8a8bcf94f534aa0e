// A second generator of intake tracts read with a gauge. It was written from docs/guides/restriction.md alone, before the
// code that judges them was read.
//
// Each part loses K heads of its own area, the air thins on the way in (isothermal), a wall tapping reads less than the total
// pressure by the head in its duct, and the gauge adds a zero, a scale and its steps. Zero and scale are drawn from what the
// document states about the gauge.

import { randomFrom } from "./random.mjs";
import { toStep } from "./trial-world.mjs";

const gasConstant = 287.05;
const areaOf = (bore) => (Math.PI / 4) * bore * bore;

/** Loss coefficient and bore of each part, and how its end is tapped: drawn anew for each tract. */
function drawParts(random) {
  const bore = random.between(0.062, 0.08);
  const duct = bore + random.between(0, 0.006);
  return [
    { name: "snorkel", bore: random.between(0.062, 0.08), k: random.between(0.3, 1.2), tapping: "total" },
    {
      name: "filter box",
      bore: random.between(0.075, 0.1),
      k: random.between(0.6, 2.5),
      tapping: random.pick(["total", "static"]),
    },
    { name: "meter", bore, k: random.between(0.3, 1.6), tapping: "static", tappingBore: duct },
    {
      name: "hose",
      bore: random.between(0.058, 0.075),
      k: random.between(0.4, 1.5),
      tapping: random.pick(["total", "static"]),
    },
  ].map((part) => (part.tapping === "static" ? { tappingBore: part.bore, ...part } : part));
}

/** Total pressure at the end of each part, with the flow [kg/s] through all of them. */
function along(parts, flow, air) {
  let pressure = air.pressure;
  return parts.map((part) => {
    const density = pressure / (gasConstant * air.temperature);
    pressure -= (part.k * (flow / areaOf(part.bore)) ** 2) / (2 * density);
    return pressure;
  });
}

/**
 * Total less static pressure of a stream of this mass flux [kg/(s m^2)], isentropic, ratio of specific heats 1.4.
 * An incompressible head, as first written here, is 0.75 Mach^2 of itself too small: 20 Pa at Mach 0.14.
 */
function headAt(total, flux, temperature) {
  const sonic = (total * Math.sqrt(1.4)) / Math.sqrt(gasConstant * temperature);
  let mach = 0;
  for (let step = 0; step < 60; step += 1) mach = (flux / sonic) * (1 + 0.2 * mach * mach) ** 3;
  return total * (1 - (1 + 0.2 * mach * mach) ** -3.5);
}

/** The flow after a change at the same engine speed: what the engine draws follows the manifold's density. */
function settle(parts, flow, manifold, air) {
  let drawn = flow;
  for (let step = 0; step < 60; step += 1) {
    const pressures = along(parts, drawn, air);
    drawn = (flow * pressures[pressures.length - 1]) / manifold;
  }
  return drawn;
}

/**
 * One tract, its readings and the truth at the highest flow.
 * options: { seed, zero [Pa] and gain (standard uncertainties, stated), step [Pa], scatter [Pa], flowScatter (relative, each
 *   point), pulls, gust (relative, each pull), speeds }
 * truth: drops [Pa] of total pressure and shares by part at the highest true flow; change: the meter's bore to
 * `change.bore` with the same K; rise [Pa] of the manifold's total pressure at the same engine speed.
 */
export function drawTract(options) {
  const random = randomFrom(options.seed);
  const parts = drawParts(random);
  const air = { temperature: random.between(275, 305), pressure: random.between(95000, 102500) };
  const peak = random.between(0.11, 0.17);
  const count = options.speeds ?? 5;
  const zero = random.normal(options.zero ?? 0);
  const gain = 1 + random.normal(options.gain ?? 0);
  const readings = [];
  for (let pullIndex = 1; pullIndex <= (options.pulls ?? 3); pullIndex += 1) {
    const gust = 1 + random.normal(options.gust ?? 0);
    for (let point = 0; point < count; point += 1) {
      const flow = peak * (0.6 + (0.4 * point) / (count - 1));
      const totals = along(parts, flow, air);
      const below = parts.map((part, i) => {
        const head =
          part.tapping === "static" ? headAt(totals[i], flow / areaOf(part.tappingBore), air.temperature) : 0;
        const seen =
          (air.pressure - totals[i] + head) * gust * gain + zero + random.normal(options.scatter ?? 15);
        return toStep(seen, options.step ?? 0);
      });
      readings.push({ pull: pullIndex, flow: flow * (1 + random.normal(options.flowScatter ?? 0)), below });
    }
  }
  const totals = along(parts, peak, air);
  const drops = totals.map((total, i) => (i === 0 ? air.pressure : totals[i - 1]) - total);
  const whole = air.pressure - totals[totals.length - 1];
  const change = { part: 2, bore: parts[2].bore * random.between(1.06, 1.2) };
  const wider = parts.map((part, i) => (i === change.part ? { ...part, bore: change.bore } : part));
  const manifold = totals[totals.length - 1];
  const after = along(wider, settle(wider, peak, manifold, air), air);
  return {
    air,
    parts,
    readings,
    change,
    truth: {
      peak,
      drops,
      shares: drops.map((drop) => drop / whole),
      rise: after[after.length - 1] - manifold,
    },
  };
}
