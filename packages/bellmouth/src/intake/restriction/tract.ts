import type { MoistAir } from "../../air/index.js";
import { BellmouthError, requireNumber } from "../../fault/index.js";
import type { Uncertain } from "../../sensor/index.js";
import type { Area, MassFlow, PressureDifference } from "../../units/index.js";

/**
 * What the pressure tapping at the end of an element reads. A tapping square to a moving stream reads the static
 * pressure, which is below the total by the stream's own dynamic head: in a 70 mm duct at 0.25 kg/s that is 1.7 kPa,
 * half of what many a whole intake loses. So a static tapping needs the area of the duct where it sits. A box, a
 * plenum or a probe facing the stream reads the total pressure.
 */
export type Tapping =
  | { readonly reads: "total" }
  | { readonly reads: "static"; readonly area: Uncertain<Area> };

/** A part of the intake tract, from the station before it (or the outside air) to the tapping at its end. */
export interface TractElement {
  readonly name: string;
  /** The air meter's housing is what a swap changes; at most one element. */
  readonly role?: "meter housing";
  /** Open area that K and the Mach number refer to [m^2]; without it neither is given. */
  readonly area?: Uncertain<Area>;
  readonly end: Tapping;
}

/** The tract from the outside air to the manifold, in the order in which the air passes. */
export interface Tract {
  readonly elements: readonly TractElement[];
}

/** Readings of all stations at one flow. */
export interface TractPoint {
  /** Name of the pull or bench run that it belongs to. */
  readonly pull: string;
  /** [kg/s] */
  readonly flow: MassFlow;
  /** Outside pressure less the reading at the end of each element [Pa]; NaN where that station was not read. */
  readonly drops: readonly PressureDifference[];
  /** Outside air of this point when it is not the budget's. */
  readonly air?: MoistAir;
  /** Scatter of this point's readings relative to the others' [1]; 1 when not given. */
  readonly scatter?: number;
}

/** Most points of one budget: a longer log is to be reduced to values at chosen speeds first. */
export const MOST_POINTS = 500;

/** Highest share of the outside pressure that a tract may lose before the readings are taken for something else [1]. */
const MOST_DROP = 0.5;

/**
 * Checks a tract and its points: what a drop can be, and the usual mistakes of pressure readings by name.
 *
 * @param outside pressure of the outside air of each point [Pa]
 * @throws `E_SHAPE` on lengths and names, `E_TOO_LITTLE_DATA` without points, `E_TOO_LARGE`, `E_DOMAIN` on flows and
 *   on drops that only a unit or a gauge/absolute mistake explains
 */
export function requireTract(tract: Tract, points: readonly TractPoint[], outside: readonly number[]): void {
  const names = tract.elements.map((element) => element.name);
  if (names.length === 0 || new Set(names).size !== names.length || names.some((name) => name === "")) {
    throw new BellmouthError({
      code: "E_SHAPE",
      message: "a tract needs elements with names of their own",
      found: names.length === 0 ? "no element" : names.join(", "),
      accepted: "one or more elements, no name twice",
      at: { path: "tract.elements" },
    });
  }
  if (tract.elements.filter((element) => element.role === "meter housing").length > 1) {
    throw new BellmouthError({
      code: "E_SHAPE",
      message: "a tract has one meter housing",
      found: "several",
      accepted: "the role on at most one element",
      at: { path: "tract.elements" },
    });
  }
  tract.elements.forEach((element, i) => {
    if (element.area !== undefined) requireArea(element.area, `tract.elements[${i}].area`);
    if (element.end.reads === "static") requireArea(element.end.area, `tract.elements[${i}].end.area`);
  });
  if (points.length === 0) {
    throw new BellmouthError({
      code: "E_TOO_LITTLE_DATA",
      message: "a restriction budget needs readings",
      found: "no points",
      accepted: "points at several flows",
      at: { path: "points" },
    });
  }
  if (points.length > MOST_POINTS) {
    throw new BellmouthError({
      code: "E_TOO_LARGE",
      message:
        "readings that follow each other within a second are not separate evidence: reduce the log first",
      found: `${points.length} points`,
      accepted: `at most ${MOST_POINTS} points, one per pull and speed`,
      at: { path: "points" },
    });
  }
  points.forEach((point, k) => {
    requirePoint(point, `points[${k}]`, names.length, outside[k] as number);
  });
}

function requireArea(area: Uncertain<Area>, path: string): void {
  // Over a square metre or under a square millimetre is a unit mistake, not a duct.
  requireNumber(area.value, `${path}.value`, "m^2", { from: 1e-6, to: 1 });
  requireNumber(area.u, `${path}.u`, "m^2", { from: 0, under: area.value });
}

function requirePoint(point: TractPoint, path: string, stations: number, outside: number): void {
  requireNumber(point.flow, `${path}.flow`, "kg/s", { over: 0, to: 10 });
  requireNumber(point.scatter ?? 1, `${path}.scatter`, "1", { over: 0, to: 1e3 });
  if (point.drops.length !== stations) {
    throw new BellmouthError({
      code: "E_SHAPE",
      message: "a point needs one drop per element, NaN where a station was not read",
      found: `${point.drops.length} drops for ${stations} elements`,
      accepted: `${stations} drops`,
      at: { path: `${path}.drops` },
    });
  }
  point.drops.forEach((drop, s) => {
    if (Number.isNaN(drop)) return;
    const where = `${path}.drops[${s}]`;
    // A gauge may read a little on the wrong side of zero; more than that is a mistake with a name.
    if (!(drop > -0.01 * outside)) {
      throw new BellmouthError({
        code: "E_DOMAIN",
        message:
          "the pressure in the tract is above the outside air: a gauge reading given as absolute, a barometer read in " +
          "other units or at sea level, or a supercharger before this station",
        found: `${drop.toFixed(0)} Pa below outside`,
        accepted: `drops from about 0 to ${Math.round(MOST_DROP * outside)} Pa`,
        at: { path: where },
      });
    }
    if (!(drop < MOST_DROP * outside)) {
      throw new BellmouthError({
        code: "E_DOMAIN",
        message:
          "the drop is half of the outside pressure or more: a gauge reading given as absolute, a closed throttle, or " +
          "mixed units",
        found: `${drop.toFixed(0)} Pa below outside air of ${outside.toFixed(0)} Pa`,
        accepted: `drops from about 0 to ${Math.round(MOST_DROP * outside)} Pa`,
        at: { path: where },
      });
    }
  });
}
