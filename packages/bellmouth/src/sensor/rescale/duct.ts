import { airViscosity } from "../../air/index.js";
import type { Temperature } from "../../units/index.js";
import {
  type EntryAhead,
  entryAhead,
  type InstallationDoubt,
  installationDoubt,
  stepFactor,
} from "../ahead.js";
import { checkHousing, type Housing, sectionNumbers, sectionSizes } from "../housing.js";
import { entryParts } from "../profile/entry.js";
import { type ProfileScatter, scatterAt } from "../profile/scatter.js";
import { type FluxLaw, fluxLaw } from "./flux-law.js";

/** One measured size of a housing: its standard uncertainty, and what a change of it does to the two logarithms. */
export interface SizeEffect {
  readonly u: number;
  /** d ln(open area) per unit */
  readonly area: number;
  /** d ln(flow at a given Re) per unit */
  readonly scale: number;
}

/** A housing made ready: everything in logarithms, x = ln Re. */
export interface Duct {
  readonly housing: Housing;
  readonly law: FluxLaw;
  /** Even flow ahead; undefined behind a long pipe. */
  readonly ahead: EntryAhead | undefined;
  readonly installation: InstallationDoubt;
  /** The flux law, had the flow been even at another distance over the diameter [1]. */
  readonly lawAt: (distance: number) => FluxLaw;
  /** A distance over the diameter, kept where there is a run at all [1]. */
  readonly distanceAt: (distance: number) => number;
  /** ln of the open area [ln m^2] */
  readonly lnArea: number;
  /** ln(flow) - ln(Re) [ln kg/s] */
  readonly lnScale: number;
  readonly bore: readonly SizeEffect[];
  readonly blockage: SizeEffect;
  /** d ln(open area) per share of the blocked flow that speeds up evenly at the element, negative [1] */
  readonly evening: number;
}

/**
 * The whole blocked flow speeds up evenly at the element, or part of it: A - c S with c = 1. A slender probe does part;
 * its standard uncertainty [1] (a judgement), the same in both housings because the probe is.
 */
export const EVENING_U = 0.3;

/** Least share of a distance that a careless uncertainty leaves. */
const LEAST_DISTANCE = 0.02;

/** ln open area and ln(flow / Re) of a section with the sizes a and b, blockage and viscosity, all SI. */
export function ductLogs(
  housing: Housing,
  a: number,
  b: number,
  blockage: number,
  viscosity: number,
): { lnArea: number; lnScale: number } {
  const { area, perimeter } = sectionNumbers(housing.section.shape, a, b);
  // Re = m Dh / (A mu) with Dh = 4 A / P: the area falls out, flow = Re mu P / 4.
  return { lnArea: Math.log(area - blockage), lnScale: Math.log((viscosity * perimeter) / 4) };
}

/** Checks a housing and makes it ready. */
export function makeDuct(housing: Housing, temperature: Temperature, path: string): Duct {
  checkHousing(housing, path);
  const viscosity = airViscosity(temperature);
  const sizes = sectionSizes(housing.section);
  const blocked = housing.blockage.value;
  const [a, b] = [sizes[0]?.value as number, sizes[1]?.value ?? 0];
  const { area, perimeter } = sectionNumbers(housing.section.shape, a, b);
  const open = area - blocked;
  const bore = sizes.map(({ u }, i): SizeEffect => {
    // Sections are at most bilinear in their sizes, so a central difference is exact to rounding.
    const h = (i === 0 ? a : b) * 1e-3;
    const up = sectionNumbers(housing.section.shape, i === 0 ? a + h : a, i === 0 ? b : b + h);
    const down = sectionNumbers(housing.section.shape, i === 0 ? a - h : a, i === 0 ? b : b - h);
    return {
      u,
      area: (up.area - down.area) / (2 * h * open),
      scale: (up.perimeter - down.perimeter) / (2 * h * perimeter),
    };
  });
  const ahead = entryAhead(housing);
  const step = stepFactor(housing);
  const lawAt = (distance: number): FluxLaw =>
    fluxLaw(housing.element, ahead && { ...ahead.flow, distance }, step);
  return {
    housing,
    ahead,
    installation: installationDoubt(housing),
    law: fluxLaw(housing.element, ahead?.flow, step),
    lawAt,
    distanceAt: (distance) => Math.max(distance, LEAST_DISTANCE * (ahead?.flow.distance ?? 0)),
    ...ductLogs(housing, a, b, blocked, viscosity),
    bore,
    blockage: { u: housing.blockage.u, area: -1 / open, scale: 0 },
    evening: -blocked / open,
  };
}

/** What is unsure of ln kappa in a duct at ln Re = x [1]. */
export interface FactorDoubt extends ProfileScatter {
  /** of the loss coefficient of the plane ahead: the same parts have the same */
  readonly loss: number;
  /** of the distance in which the wall layer grew */
  readonly distance: number;
}

export function factorDoubt(duct: Duct, x: number): FactorDoubt {
  const { element, section } = duct.housing;
  const { ahead, law } = duct;
  const scatter = scatterAt(x, element, ahead?.flow, section.shape);
  if (ahead === undefined) {
    const levelled = x === Number.NEGATIVE_INFINITY ? 0 : law.at(x) - x - law.factorAt(x);
    return { ...scatter, own: Math.hypot(scatter.own, levelled), loss: 0, distance: 0 };
  }
  const { flow, distanceU, planeU } = ahead;
  const lnFactor = (distance: number, plane = flow.plane ?? 0): number =>
    Math.log(entryParts(x, element.from, element.to, { ...flow, distance, plane }).factor);
  const nearer = duct.distanceAt(flow.distance - distanceU);
  const spread = distanceU === 0 ? 0 : Math.abs(lnFactor(flow.distance + distanceU) - lnFactor(nearer)) / 2;
  const strength = flow.plane ?? 0;
  const loss =
    planeU === 0
      ? 0
      : Math.abs(
          lnFactor(flow.distance, strength + planeU) -
            lnFactor(flow.distance, Math.max(0, strength - planeU)),
        ) / 2;
  return { ...scatter, loss, distance: spread };
}
