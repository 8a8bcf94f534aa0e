import { turbulentRatio, turbulentShare } from "./ratio.js";
import { powerLawExponent } from "./shape.js";

// Flow that enters a duct evenly is a uniform core inside a thin wall layer. The layer displaces the core, so the core
// is faster than the mean: by the square root of x/(D Re) while the layer is laminar, by a power of x/D and Re once it
// is turbulent. Nothing changes at the pipe's own transition near Re 2300: a short layer turns turbulent by its own
// length's Reynolds number, far above. One closed form from Re 500 to 3e5, exact at both ends: uniform at x = 0, the
// long pipe's profile far downstream.

/** State of the flow that enters a duct, lengths over the duct's diameter [1]. */
export interface EntryFlow {
  /** Distance from the last plane that makes the flow even to the element [1]; the law is valid from 0.2 on. */
  readonly distance: number;
  /** Length of duct that would have grown the layer already there at that plane [1]; none when left out. */
  readonly layerAhead?: number;
  /** Length Reynolds number at which the layer is turbulent half the time [1]: 8e4 in a disturbed stream, 5e5 in a calm one. */
  readonly transition?: number;
  /** K/(1 + K + a) of a plane that turns the flow axial [1], see `planeStrength`; 0, no such plane, when left out. */
  readonly plane?: number;
}

/** Length Reynolds number of transition where the stream is not known [1]. */
export const TRANSITION = 1.5e5;
/** The same in a disturbed and in a calm stream [1]. */
export const TRANSITION_DISTURBED = 8e4;
export const TRANSITION_CALM = 5e5;

/** Least Reynolds number at which the plane's term was fitted; below it the term is held. */
const PLANE_LEAST_RE = 300;

/** Core over mean velocity [1] of a laminar layer at `s` = sqrt(x/D/Re): 1 at the inlet, 2 far downstream. */
export const laminarCore = (s: number): number =>
  2 - Math.exp((-6.88315 * s * (1 - 2.9349 * s + 46.175 * s * s)) / (1 - 2.3658 * s + 13.4055 * s * s));

/** Core over mean velocity [1] of a turbulent layer at ln Re = x, `distance` diameters downstream. */
export function turbulentCore(x: number, distance: number, ratio = turbulentRatio(x)): number {
  if (distance === 0) return 1;
  const growth = 0.719 * distance ** 0.7212 * Math.exp(-0.3029 * x);
  return 1 + (growth ** -6 + (1 / ratio - 1) ** -6) ** (-1 / 6);
}

/** Local over mean velocity [1] of a laminar layer with that core, averaged along the radius. */
function laminarSpan(core: number, from: number, to: number): number {
  const e = core - 1;
  const m = (2 / e) * (1 + 0.12 * ((1 - e) / e) ** 1.6);
  if (to - from < 1e-6) return core * (1 - ((from + to) / 2) ** m);
  return core * (1 - (to ** (m + 1) - from ** (m + 1)) / ((m + 1) * (to - from)));
}

/** The same of a turbulent layer: the power law inside the layer's thickness, which keeps the mean, and the core beyond. */
function turbulentSpan(core: number, ratio: number, from: number, to: number): number {
  const p = 1 / powerLawExponent(ratio);
  const a = p / (1 + p);
  const b = p / (2 * (2 + p));
  const q = (1 - 1 / core) / 2;
  const d = (a - Math.sqrt(Math.max(0, a * a - 4 * b * q))) / (2 * b);
  // Heights above the wall of the span's two ends.
  const [low, high] = [1 - to, 1 - from];
  if (low >= d) return core;
  if (to - from < 1e-6) return core * ((low + high) / 2 / d) ** p;
  const inLayer = (Math.min(high, d) ** (p + 1) - low ** (p + 1)) / ((p + 1) * d ** p);
  return (core * (inLayer + Math.max(0, high - d))) / (high - low);
}

/** The parts of an entry's profile factor, for its uncertainty. */
export interface EntryParts {
  /** Local over mean velocity with its axial lag and the plane's term: the factor itself [1]. */
  readonly factor: number;
  /** What the axial lag takes off [1]. */
  readonly lag: number;
  /** What the plane takes off [1]. */
  readonly plane: number;
}

/** The entry law at ln Re = x, unchecked: the inner loop of everything that rescales. */
export function entryParts(x: number, from: number, to: number, entry: EntryFlow): EntryParts {
  const { distance } = entry;
  const lnRe = Math.max(x, 0); // below Re 1 the profile is the parabola's to the last digit
  const effective = distance + (entry.layerAhead ?? 0);
  if (effective === 0) return { factor: 1, lag: 0, plane: 0 };
  const laminar = laminarSpan(laminarCore(Math.sqrt(effective * Math.exp(-lnRe))), from, to);
  const lnLength = Math.log((entry.transition ?? TRANSITION) / effective) - lnRe;
  const share = turbulentShare(lnRe) / (1 + Math.exp(lnLength / 0.547));
  let even = laminar;
  if (share > 1e-17) {
    const ratio = turbulentRatio(lnRe);
    even += share * (turbulentSpan(turbulentCore(lnRe, effective, ratio), ratio, from, to) - laminar);
  }
  const lag = (even - 1) * 0.35 * Math.exp(-4.1 * distance);
  const strength = entry.plane ?? 0;
  const plane =
    strength === 0
      ? 0
      : (3.3 * strength * (1 - 0.63 * Math.exp(-2.6 * distance))) /
        (Math.sqrt(Math.max(Math.exp(lnRe), PLANE_LEAST_RE)) * even ** 2.8);
  return { factor: even - lag - plane, lag, plane };
}

/**
 * K/(1 + K + a) [1]: how far a plane with loss coefficient K keeps the axis slow behind it.
 *
 * @param loss K, pressure drop over dynamic pressure of the mean flow [1] >= 0
 * @param kind a screen bends oblique flow partly (a = 1.1/sqrt(1 + K)), a honeycomb or straightener wholly (a = 0)
 * @source G. I. Taylor, G. K. Batchelor, Quart. J. Mech. Appl. Math. 2 (1949) 1 (a, from memory)
 * @example planeStrength(2, "screen") // ≈ 0.5502
 */
export function planeStrength(loss: number, kind: "screen" | "straightener"): number {
  return loss / (1 + loss + (kind === "screen" ? 1.1 / Math.sqrt(1 + loss) : 0));
}
