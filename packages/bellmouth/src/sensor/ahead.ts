import {
  CLASS_LOSS,
  type Housing,
  hydraulicDiameter,
  isPlane,
  type Uncertain,
  upstreamPart,
} from "./housing.js";
import { type EntryFlow, planeStrength, TRANSITION, TRANSITION_DISTURBED } from "./profile/index.js";

// What stands ahead of a housing, as the entry law and the budget need it.

/** A radiused bellmouth has grown a layer worth a tenth of a diameter by its throat; half of it unsure (a judgement). */
const BELLMOUTH_LAYER = { value: 0.1, u: 0.05 };

/** Even flow ahead of an element, and how unsure its two measured numbers are. */
export interface EntryAhead {
  readonly flow: EntryFlow;
  /** standard uncertainty of the distance in which the layer grew, over the diameter [1] */
  readonly distanceU: number;
  /** standard uncertainty of the plane's strength [1] */
  readonly planeU: number;
}

/** Loss coefficient of the plane ahead [1], the class's where none is given; undefined without a plane. */
export function planeLoss(housing: Housing): Uncertain | undefined {
  const part = upstreamPart(housing.upstream);
  return isPlane(part) ? (housing.loss ?? CLASS_LOSS[part]) : undefined;
}

/** Where and how the flow enters; undefined behind a long pipe. */
export function entryAhead(housing: Housing): EntryAhead | undefined {
  const { run, upstream, step } = housing;
  if (run === "developed") return undefined;
  const bore = hydraulicDiameter(housing.section);
  const part = upstreamPart(upstream);
  // Behind an elbow the layer is as old as the bore before it.
  const before = typeof upstream === "object" ? upstream.ductBefore : { value: 0, u: 0 };
  const layer = part === "bellmouth" ? BELLMOUTH_LAYER : { value: 0, u: 0 };
  const disturbed =
    step !== 0 ||
    isPlane(part) ||
    part === "filter in line" ||
    part === "filter box" ||
    part === "sharp inlet";
  const loss = planeLoss(housing);
  const strength = (k: number): number => planeStrength(Math.max(0, k), part as "screen" | "straightener");
  return {
    flow: {
      distance: (run.value + before.value) / bore,
      layerAhead: layer.value,
      transition: disturbed ? TRANSITION_DISTURBED : TRANSITION,
      plane: loss === undefined ? 0 : strength(loss.value),
    },
    distanceU: Math.hypot(run.u / bore, before.u / bore, layer.u),
    planeU:
      loss === undefined ? 0 : Math.abs(strength(loss.value + loss.u) - strength(loss.value - loss.u)) / 2,
  };
}

/** Relative standard uncertainty of a reading [1] for what is ahead: of the part, and of the joint. */
export interface InstallationDoubt {
  readonly ahead: number;
  readonly step: number;
}

/**
 * What the parts ahead and the joint leave unsure of a reading, the profile law apart [1].
 *
 * @source Judgements on published evidence of flow meters behind fittings (ISO 5167-2:2003 table 3, ISO 7145:1982, P. Synowiec
 *   et al., Sensors 21 (2021) 868), see docs/decisions/0010-entry-flow.md.
 */
export function installationDoubt(housing: Housing): InstallationDoubt {
  const bore = hydraulicDiameter(housing.section);
  const height = Math.abs(housing.step) / bore;
  const { run } = housing;
  const runs = run === "developed" ? Number.POSITIVE_INFINITY : run.value / bore;
  return { ahead: aheadDoubt(housing, runs), step: height * stepLaw(housing).u };
}

function aheadDoubt(housing: Housing, runs: number): number {
  // A long pipe forgets how even the flow came in; of elbows and of the unknown what does not die away stays.
  const near = Number.isFinite(runs) ? 1 : 0;
  switch (upstreamPart(housing.upstream)) {
    case "screen":
    case "straightener":
      return 0.005 * near;
    case "bellmouth":
      return 0.007 * near;
    case "filter in line":
      return 0.015 * near;
    case "filter box":
      return 0.03 * near;
    case "sharp inlet":
      return (runs <= 1 ? 0.04 : 0.02) * near;
    case "elbow":
      return 0.01 + 0.08 * Math.exp(-runs / 3.5);
    case "two elbows":
      return 0.015 + 0.09 * Math.exp(-runs / 6);
    case "unknown":
      return 0.05;
  }
}

/** Excess of the core behind a joint, and its standard uncertainty, in step heights over the diameter [1]. */
function stepLaw({ run, step }: Housing): { readonly bias: number; readonly u: number } {
  if (step === 0 || run === "developed") return { bias: 0, u: 0 };
  const heights = run.value / Math.abs(step);
  if (step > 0) {
    if (heights < 12) return { bias: 1.5, u: 1.5 };
    return heights < 50 ? { bias: 0.4, u: 0.8 } : { bias: 0, u: 0.3 };
  }
  // A lip's bubble has nearly closed by 20 heights.
  if (heights < 10) return { bias: 1, u: 1 };
  return heights < 20 ? { bias: 0.5, u: 0.5 } : { bias: 0, u: 0.4 };
}

/** Factor [1] by which a joint's step makes the core faster, at ln Re = x. */
export function stepFactor(housing: Housing): (x: number) => number {
  const { bias } = stepLaw(housing);
  if (bias === 0) return () => 1;
  const height = Math.abs(housing.step) / hydraulicDiameter(housing.section);
  // Right behind an enlargement the excess is nearer 0.3 heights below Re 1e4; the change is made smooth.
  const low = bias === 1.5 ? 0.3 : bias;
  return (x) => 1 + height * (low + (bias - low) / (1 + Math.exp(4 * (Math.log(1e4) - x))));
}
