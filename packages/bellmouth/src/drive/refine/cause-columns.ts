import type { Timeline } from "./timeline.js";
import type { PossibleCause } from "./types.js";

/** Specific-heat ratio of air [1]. */
const gamma = 1.4;
/** Flow at which an exhaust leak's dilution has fallen to half of its value at rest, over the table's top flow [1]. */
export const exhaustLeakShare = 0.02;

/** Half of a leak that matters, over the flow near idle [1]. */
const leakMiddling = 0.1;

const subsonic = (ratio: number): number => ratio ** (2 / gamma) - ratio ** ((gamma + 1) / gamma);
const choked = (2 / (gamma + 1)) ** (gamma / (gamma - 1));

/**
 * Flow through a small opening over its choked flow [1], by the pressure ratio across it.
 *
 * @source NACA Report 1135 (1953), isentropic flow through a throat.
 */
export function openingFlow(pressureRatio: number): number {
  if (!(pressureRatio > choked)) return 1;
  return pressureRatio >= 1 ? 0 : Math.sqrt(subsonic(pressureRatio) / subsonic(choked));
}

/**
 * What each possible cause would do to ln lambda at the moment of dosing, per unit of its size; null where the log holds nothing that sets it
 * apart from an error of the table.
 * leak: unmetered air behind the meter, per kg/s at choked vacuum · injector offset: fuel missing at every injection,
 * per kg of the air it would burn and revolution · exhaust leak: outside air before the sensor, per unit of dilution at rest.
 */
export function causeColumns(
  timeline: Timeline,
  topFlow: number,
): { readonly [cause in PossibleCause]: Float64Array | null } {
  const { metered, pressureRatio, speed, grid } = timeline;
  const { n } = grid;
  // ln(1 + leak / metered) bends: its chord up to a leak of twice `middling` instead of its slope at none.
  const stride = Math.ceil(n / 2000);
  const some = new Float64Array(Math.ceil(n / stride));
  for (let k = 0; k < some.length; k++) some[k] = metered[k * stride]!;
  const middling = leakMiddling * some.sort()[Math.floor(0.1 * some.length)]!;
  return {
    leak: mostlyLogged(pressureRatio) ? leakColumn(pressureRatio, metered, middling) : null,
    "injector offset": mostlyLogged(speed) ? offsetColumn(speed, metered) : null,
    "exhaust leak": dilutionColumn(metered, exhaustLeakShare * topFlow),
  };
}

// The loops below stand alone: in closures the engine would compile them anew for every drive.

function mostlyLogged(series: Float64Array): boolean {
  let found = 0;
  for (let t = 0; t < series.length; t++) if (series[t]! > 0) found++;
  return found > 0.5 * series.length;
}

/** What is not known is held. */
function leakColumn(pressureRatio: Float64Array, metered: Float64Array, middling: number): Float64Array {
  const out = new Float64Array(metered.length);
  let last = 0;
  for (let t = 0; t < out.length; t++) {
    const ratio = pressureRatio[t]!;
    if (ratio > 0) {
      const opening = openingFlow(ratio);
      const now = opening / (metered[t]! + middling * opening);
      if (!Number.isNaN(now)) last = now;
    }
    out[t] = last;
  }
  return out;
}

function offsetColumn(speed: Float64Array, metered: Float64Array): Float64Array {
  const out = new Float64Array(metered.length);
  let last = 0;
  for (let t = 0; t < out.length; t++) {
    const now = speed[t]! / metered[t]!;
    if (!Number.isNaN(now)) last = now;
    out[t] = last;
  }
  return out;
}

function dilutionColumn(metered: Float64Array, share: number): Float64Array {
  const out = new Float64Array(metered.length);
  let last = 0;
  for (let t = 0; t < out.length; t++) {
    const now = share / (share + metered[t]!);
    if (!Number.isNaN(now)) last = now;
    out[t] = last;
  }
  return out;
}
