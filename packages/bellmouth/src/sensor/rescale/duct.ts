import { airViscosity } from "../../air/index.js";
import type { Temperature } from "../../units/index.js";
import { checkHousing, type Housing, sectionNumbers, sectionSizes } from "../housing.js";
import { developedFactor } from "../profile/factor.js";
import { scatterAt } from "../profile/scatter.js";
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
  /** ln of the open area [ln m^2] */
  readonly lnArea: number;
  /** ln(flow) - ln(Re) [ln kg/s] */
  readonly lnScale: number;
  readonly bore: readonly SizeEffect[];
  readonly blockage: SizeEffect;
}

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
  return {
    housing,
    law: fluxLaw(housing.element, housing.development.value),
    ...ductLogs(housing, a, b, blocked, viscosity),
    bore,
    blockage: { u: housing.blockage.u, area: -1 / open, scale: 0 },
  };
}

/** What is unsure of ln kappa in a duct at ln Re = x. */
export interface FactorDoubt {
  /** of the pipe law, shared by housings at the same Re */
  readonly law: number;
  /** of this housing's own change from laminar to turbulent, and of a fold levelled */
  readonly own: number;
  /** d ln kappa / d development */
  readonly perDevelopment: number;
}

export function factorDoubt(duct: Duct, x: number): FactorDoubt {
  const { element, development, section } = duct.housing;
  const scatter = scatterAt(x, element, development.value, section.shape);
  const developed = developedFactor(x, element.from, element.to);
  const mixed = 1 + development.value * (developed - 1);
  const levelled = x === Number.NEGATIVE_INFINITY ? 0 : duct.law.at(x) - x - Math.log(mixed);
  return {
    law: scatter.law,
    own: Math.hypot(scatter.own, levelled),
    perDevelopment: (developed - 1) / mixed,
  };
}
