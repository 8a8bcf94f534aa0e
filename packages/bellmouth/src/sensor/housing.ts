import type { Area, Length } from "../units/index.js";

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
