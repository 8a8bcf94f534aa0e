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

/** What makes the flow even ahead of the run. Behind elbows the straight bore before them has grown a layer too. */
export type Upstream =
  | "straightener"
  | "screen"
  | "bellmouth"
  | "filter in line"
  | "filter box"
  | "sharp inlet"
  | "unknown"
  | {
      readonly part: "elbow" | "two elbows";
      /** Straight bore between the last thing that makes the flow even and the elbow [m]. */
      readonly ductBefore: Uncertain<Length>;
    };

/** Kinds of `Upstream` by name. */
export type UpstreamPart = Extract<Upstream, string> | "elbow" | "two elbows";

/** Housing of an air meter: the section, what the probe blocks of it, where the element sits and what is ahead of it. */
export interface Housing {
  readonly section: DuctSection;
  /** Area that the probe and its holder take out of the section [m^2]. */
  readonly blockage: Uncertain<Area>;
  /** Relative radius of the element's place, r/R [1]: 0 the axis, 1 the wall; averaged over from..to when they differ. */
  readonly element: { readonly from: number; readonly to: number };
  /**
   * Straight bore ahead of the element, after the last thing that makes the flow even, or after the elbow [m]; "developed"
   * behind a long pipe, on a bench.
   */
  readonly run: Uncertain<Length> | "developed";
  readonly upstream: Upstream;
  /** Joint where the run begins: difference of radius [m], larger in the meter (+), lip into it (-), 0 smooth. */
  readonly step: Length;
  /** Loss coefficient of a screen's or straightener's plane [1]; its class's value where left out. */
  readonly loss?: Uncertain;
  /** The very same parts stand ahead of both housings of a swap, turned the same way. Said in one of the two. */
  readonly sameAhead?: boolean;
  /** Free name of the element's make: tables of one family can be held against each other. */
  readonly family?: string;
}

/** Loss coefficients of a plane whose own is not known: a screen of common mesh, a honeycomb (judgements). */
export const CLASS_LOSS = {
  screen: { value: 2, u: 0.8 },
  straightener: { value: 0.7, u: 0.3 },
} as const satisfies { readonly [part: string]: Uncertain };

/** Largest relative radius of an element that the profile laws reach. */
export const ELEMENT_LIMIT = 0.7;

/** Longest run that the entry law takes, in diameters [1]: beyond, a long pipe's several flows of one signal come back. */
const LONGEST_RUN = 40;

/** The name of what is ahead. */
export const upstreamPart = (upstream: Upstream): UpstreamPart =>
  typeof upstream === "string" ? upstream : upstream.part;

/** Whether what is ahead is a plane that turns the flow axial, whose loss coefficient counts. */
export const isPlane = (part: UpstreamPart): part is keyof typeof CLASS_LOSS => part in CLASS_LOSS;

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
 *   to <= 0.7; run > 0 and at most 40 diameters, or "developed"; step within a tenth of the bore; loss [1] 0 to 20, with
 *   a screen or straightener only; every standard uncertainty >= 0
 * @param path where it stands, for messages
 * @throws `E_DOMAIN` when a number is missing or out of range, when the probe fills the duct, when an "other"
 *   section encloses more area than a circle of that perimeter could, when an elbow comes without the bore before it, or
 *   when a step or a loss coefficient stands where it means nothing
 */
export function checkHousing(housing: Housing, path = "housing"): Housing {
  const { section, blockage, element } = housing;
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
  if (element.to > ELEMENT_LIMIT) {
    throw new BellmouthError({
      code: "E_DOMAIN",
      message: "the element reaches into the wall layer, where neither profile law holds",
      found: `an element to ${element.to} of the radius`,
      accepted: `an element within ${ELEMENT_LIMIT} of the radius`,
      at: { path: `${path}.element.to` },
    });
  }
  checkAhead(housing, path);
  return housing;
}

const PARTS: readonly UpstreamPart[] = [
  "straightener",
  "screen",
  "bellmouth",
  "filter in line",
  "filter box",
  "sharp inlet",
  "unknown",
  "elbow",
  "two elbows",
];

/** Checks what stands ahead of the element. */
function checkAhead(housing: Housing, path: string): void {
  const { run, upstream, step, loss } = housing;
  const part = upstreamPart(upstream ?? "");
  const refuse = (key: string, message: string, found: string, accepted: string): never => {
    throw new BellmouthError({ code: "E_DOMAIN", message, found, accepted, at: { path: `${path}.${key}` } });
  };
  if (!PARTS.includes(part)) {
    refuse("upstream", "unknown part upstream", JSON.stringify(upstream) ?? "nothing", PARTS.join(", "));
  }
  if (typeof upstream === "object")
    requireUncertain(upstream.ductBefore, `${path}.upstream.ductBefore`, "m", { from: 0 });
  else if (part === "elbow" || part === "two elbows") {
    refuse(
      "upstream",
      `behind an elbow the straight bore before it counts`,
      `'${part}' alone`,
      "{ part, ductBefore }",
    );
  }
  const bore = hydraulicDiameter(housing.section);
  requireNumber(step, `${path}.step`, "m", { from: -0.1 * bore, to: 0.1 * bore });
  if (run === "developed") {
    if (step !== 0) {
      refuse(
        "step",
        "a joint begins a new wall layer, so behind it the flow is not developed",
        `${step} m`,
        "0 m, or the run from the joint on",
      );
    }
  } else {
    requireUncertain(run, `${path}.run`, "m", { over: 0 });
    if (run.value > LONGEST_RUN * bore) {
      refuse(
        "run",
        "a run this long is a long pipe",
        `${run.value} m of ${bore} m`,
        `'developed', or at most ${LONGEST_RUN} diameters`,
      );
    }
  }
  if (loss !== undefined) {
    if (!isPlane(part)) {
      refuse(
        "loss",
        `a loss coefficient is asked for a screen or a straightener only`,
        `one beside '${part}'`,
        "no loss",
      );
    }
    requireUncertain(loss, `${path}.loss`, "1", { from: 0, to: 20 });
  }
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
 *   run: { value: mm(40), u: mm(10) },
 *   upstream: "bellmouth",
 *   step: mm(0),
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
