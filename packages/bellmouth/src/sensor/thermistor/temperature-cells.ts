import {
  type Curve,
  type CurveStorage,
  type Outside,
  quantise,
  type StorageFlag,
  type StorageFormat,
} from "../../curve/index.js";
import type { Converter } from "./circuit.js";
import type { TemperatureBudget, TemperatureTolerances } from "./temperature-budget.js";

/** Distance past the ends of the band at which it is told what the ECU shows [K]. */
export const PAST_BAND = 10;

/** Temperatures over which a table must be right [K]. */
export interface TemperatureBand {
  readonly coldest: number;
  readonly hottest: number;
}

export interface TemperatureTableOptions {
  readonly band: TemperatureBand;
  /** `minimax`: the smallest largest executed error. `sample`: the element's own values at the breakpoints. */
  readonly fit: "minimax" | "sample";
  /** What the ECU does outside its breakpoints. */
  readonly outside: Outside;
  /** How the ECU stores breakpoints and values; stored exactly when left out. */
  readonly storage?: CurveStorage;
  /** Needed for an axis in counts, and for the converter's own share of the error. */
  readonly converter?: Converter;
  /**
   * Values of the cells past the band, which only a disconnected or shorted element reaches: "hold" the value at the
   * band's end, or the substitute temperatures [K] that the ECU should take. There is no default: an ECU's fault
   * detection may depend on them.
   */
  readonly faultCells: "hold" | { readonly open: number; readonly short: number };
  /** What is known of the parts' tolerances; components that are not given stay out of the budget. */
  readonly tolerances: TemperatureTolerances;
}

/** Conditions of a temperature cell. */
export type TemperatureFlag =
  | "beyond band" // past the band's ends; lines from here may still reach into the band
  | "open circuit" // the reading of a disconnected element falls on this cell or next to it
  | "short circuit" // likewise of a shorted element
  | "fault value" // holds the substitute temperature that was asked for
  | "fault value given up" // the line from this cell reaches into the band, so it holds the element's value instead
  | StorageFlag;

export interface TemperatureCell {
  /** breakpoint, in the unit of the axis */
  readonly x: number;
  /** value as the ECU holds it, in the unit of the table's values */
  readonly value: number;
  readonly flags: readonly TemperatureFlag[];
  /** [K] by component; past the band how far the value is off */
  readonly budget: TemperatureBudget;
  /** largest executed error around the cell, inside the band [K]; reads too warm when above zero */
  readonly error: number;
}

/** An intake-air-temperature table as the ECU executes it. */
export interface TemperatureTable {
  readonly kind: "temperature table";
  /** as the ECU holds it */
  readonly curve: Curve;
  readonly cells: readonly TemperatureCell[];
  /** the largest executed error inside the band */
  readonly worst: { readonly temperature: number /** [K] */; readonly error: number };
  /** readings of a sound element at the ends of the band; anything outside is a fault or unheard-of weather */
  readonly healthy: { readonly low: number; readonly high: number };
  /** temperatures that the table shows with the element disconnected and shorted [K]; null where it has no value */
  readonly shown: { readonly open: number | null; readonly short: number | null };
  /** what the ECU shows at true temperatures 10 K past either end of the band [K]; empty where it has no value there */
  readonly pastBand: readonly { readonly true: number; readonly read: number }[];
}

/** Breakpoints as the ECU stores them; two that share a code are refused when the curve is made. */
export function storedBreakpoints(
  values: readonly number[],
  format: StorageFormat | undefined,
): { readonly values: readonly number[]; readonly flags: readonly (readonly StorageFlag[])[] } {
  return format === undefined
    ? { values, flags: values.map(() => []) }
    : quantise(values, format, { keep: "nothing" });
}

/** Readings around a cell at which its executed error is looked for. */
const READINGS = 64;

/**
 * The largest error inside the band around each cell that has a part of the band.
 *
 * @param corners places where the error has a corner that is not one of `xs`
 */
export function bandErrors(
  xs: readonly number[],
  low: number,
  high: number,
  errorAt: (x: number) => number,
  corners: readonly number[] = [],
): { readonly cell: number; readonly x: number; readonly error: number }[] {
  return xs.flatMap((x, cell) => {
    const left = Math.max(low, cell === 0 ? low : ((xs[cell - 1] as number) + x) / 2);
    const right = Math.min(high, cell === xs.length - 1 ? high : (x + (xs[cell + 1] as number)) / 2);
    if (!(right > left)) return [];
    const even = Array.from({ length: READINGS + 1 }, (_, k) => left + ((right - left) * k) / READINGS);
    const places = [...even, ...[x, ...corners].filter((place) => place > left && place < right)];
    return [
      places
        .map((place) => ({ cell, x: place, error: errorAt(place) }))
        .reduce((a, b) => (Math.abs(b.error) > Math.abs(a.error) ? b : a)),
    ];
  });
}
