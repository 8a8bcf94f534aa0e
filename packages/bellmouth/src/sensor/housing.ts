import { airViscosity, reynolds } from "../air/index.js";
import { BellmouthError, requireNumber } from "../fault/index.js";
import {
  type Area,
  type Length,
  type MassFlow,
  metres,
  squareMetres,
  type Temperature,
} from "../units/index.js";

/** A number with its standard uncertainty, both in the same SI unit. */
export interface Uncertain<T extends number = number> {
  readonly value: T;
  /** standard uncertainty (one sigma), >= 0 */
  readonly u: number;
}

/** Section of the duct where the element sits. */
export type DuctSection =
  | { readonly shape: "round"; readonly bore: Uncertain<Length> }
  | { readonly shape: "rectangle"; readonly width: Uncertain<Length>; readonly height: Uncertain<Length> }
  | { readonly shape: "other"; readonly area: Uncertain<Area>; readonly perimeter: Uncertain<Length> };

/**
 * Housing of an air meter: the section, what the probe blocks of it, where the element sits and how developed the
 * flow is when it arrives.
 */
export interface Housing {
  readonly section: DuctSection;
  /** Area that the probe and its holder take out of the section [m^2]. */
  readonly blockage: Uncertain<Area>;
  /** Relative radius of the element's place, r/R [1]: 0 the axis, 1 the wall; averaged over from..to when they differ. */
  readonly element: { readonly from: number; readonly to: number };
  /** 0 a flat profile (short inlet, flow straightener), 1 a developed pipe profile; `u` its standard uncertainty [1]. */
  readonly development: Uncertain;
}

const requireUncertain = (
  given: Uncertain | undefined,
  path: string,
  unit: string,
  range: { readonly over?: number; readonly from?: number; readonly to?: number },
): void => {
  requireNumber(given?.value ?? Number.NaN, `${path}.value`, unit, range);
  requireNumber(given?.u ?? Number.NaN, `${path}.u`, unit, { from: 0 });
};

/** The measured sizes of a section, in an order that `sectionNumbers` understands. */
export function sectionSizes(section: DuctSection): readonly Uncertain[] {
  switch (section.shape) {
    case "round":
      return [section.bore];
    case "rectangle":
      return [section.width, section.height];
    case "other":
      return [section.area, section.perimeter];
  }
}

/** Area [m^2] and wetted perimeter [m] of a section whose sizes are `a` and `b` [m], or [m^2] and [m] for "other". */
export function sectionNumbers(
  shape: DuctSection["shape"],
  a: number,
  b: number,
): { area: number; perimeter: number } {
  if (shape === "round") return { area: (Math.PI * a * a) / 4, perimeter: Math.PI * a };
  if (shape === "rectangle") return { area: a * b, perimeter: 2 * (a + b) };
  return { area: a, perimeter: b };
}

/**
 * Area of the duct [m^2] before the probe takes its part.
 *
 * @example sectionArea({ shape: "round", bore: { value: mm(70), u: mm(0.05) } }) // ≈ 0.00384845
 */
export function sectionArea(section: DuctSection): Area {
  const [a, b] = sectionSizes(section);
  return squareMetres(sectionNumbers(section.shape, a?.value ?? Number.NaN, b?.value ?? 0).area);
}

/**
 * Checks a housing and returns it.
 *
 * @param housing sizes [m] or [m^2] > 0; blockage [m^2] >= 0 and less than the section; element 0 <= from <= to <= 1,
 *   from < 1; development 0 to 1; every standard uncertainty >= 0
 * @param path where it stands, for messages
 * @throws `E_DOMAIN` when a number is missing or out of range, when the probe fills the duct, or when an "other"
 *   section encloses more area than a circle of that perimeter could
 */
export function checkHousing(housing: Housing, path = "housing"): Housing {
  const { section, blockage, element, development } = housing;
  const at = `${path}.section`;
  if (section.shape === "round") requireUncertain(section.bore, `${at}.bore`, "m", { over: 0 });
  else if (section.shape === "rectangle") {
    requireUncertain(section.width, `${at}.width`, "m", { over: 0 });
    requireUncertain(section.height, `${at}.height`, "m", { over: 0 });
  } else if (section.shape === "other") {
    requireUncertain(section.area, `${at}.area`, "m^2", { over: 0 });
    requireUncertain(section.perimeter, `${at}.perimeter`, "m", { over: 0 });
    // No shape encloses more than the circle does: a perimeter below it is a slip of the pen (mm against m, radius
    // against diameter), not a housing. One part in a thousand is left for rounding.
    const least = Math.sqrt(4 * Math.PI * section.area.value) * 0.999;
    requireNumber(section.perimeter.value, `${at}.perimeter.value`, "m", { from: least });
  } else {
    throw new BellmouthError({
      code: "E_DOMAIN",
      message: "unknown shape of a duct section",
      found: String((section as { shape?: unknown }).shape),
      accepted: "round, rectangle, other",
      at: { path: `${at}.shape` },
    });
  }
  requireUncertain(blockage, `${path}.blockage`, "m^2", { from: 0 });
  const gross = sectionArea(section);
  if (!(blockage.value < gross)) {
    throw new BellmouthError({
      code: "E_DOMAIN",
      message: "the probe fills the duct",
      found: `${blockage.value} m^2 blocked of ${gross} m^2`,
      accepted: `a blockage below ${gross} m^2`,
      at: { path: `${path}.blockage.value` },
    });
  }
  requireNumber(element.from, `${path}.element.from`, "1", { from: 0, under: 1 });
  requireNumber(element.to, `${path}.element.to`, "1", { from: element.from, to: 1 });
  requireUncertain(development, `${path}.development`, "1", { from: 0, to: 1 });
  return housing;
}

/**
 * Open area of a housing [m^2]: the section less what the probe blocks of it.
 *
 * @throws `E_DOMAIN` as `checkHousing`
 * @example
 * const housing = {
 *   section: { shape: "round", bore: { value: mm(70), u: mm(0.05) } },
 *   blockage: { value: mm2(300), u: mm2(15) },
 *   element: { from: 0, to: 0.2 },
 *   development: { value: 0.5, u: 0.2 },
 * };
 * openArea(housing) // ≈ 0.00354845
 */
export function openArea(housing: Housing): Area {
  checkHousing(housing);
  return squareMetres(sectionArea(housing.section) - housing.blockage.value);
}

/**
 * Hydraulic diameter of a section [m]: four times its area over its perimeter; the bore of a round duct.
 *
 * @example hydraulicDiameter({ shape: "rectangle", width: { value: mm(80), u: 0 }, height: { value: mm(60), u: 0 } }) // ≈ 0.0685714
 */
export function hydraulicDiameter(section: DuctSection): Length {
  const [a, b] = sectionSizes(section);
  const { area, perimeter } = sectionNumbers(section.shape, a?.value ?? Number.NaN, b?.value ?? 0);
  return metres((4 * area) / perimeter);
}

/**
 * Reynolds number [1] of a mass flow in the housing's duct, by the section as it is without the probe: it is the
 * duct upstream that shapes the profile.
 *
 * @param massFlow    [kg/s] >= 0
 * @param temperature of the air [K]
 * @throws `E_DOMAIN` on a negative flow, a temperature outside the viscosity law, or NaN
 * @example housingReynolds({ shape: "round", bore: { value: mm(70), u: 0 } }, gramsPerSecond(100), celsius(20)) // ≈ 99909
 */
export function housingReynolds(section: DuctSection, massFlow: MassFlow, temperature: Temperature): number {
  return reynolds({
    massFlow,
    hydraulicDiameter: hydraulicDiameter(section),
    area: sectionArea(section),
    viscosity: airViscosity(temperature),
  });
}
