import type { Dimension } from "../../text/index.js";
import { unitScale } from "../../text/index.js";

/**
 * A number for people, in any unit, which is not shown: three or four digits, thousands set apart, no exponent where
 * it can be helped.
 */
export function figure(value: number, digits = 3): string {
  if (!Number.isFinite(value)) return "–";
  if (value === 0) return "0";
  const rounded = Number(value.toPrecision(digits));
  const size = Math.abs(rounded);
  if (size >= 1e7 || size < 1e-4) return rounded.toExponential(digits - 1);
  const decimals = Math.max(0, digits - 1 - Math.floor(Math.log10(size)));
  const [whole, part] = rounded.toFixed(Math.min(decimals, 6)).split(".") as [string, string | undefined];
  const grouped = whole.length > 4 ? whole.replace(/\B(?=(\d{3})+$)/g, "\u202f") : whole;
  return part === undefined ? grouped : `${grouped}.${part}`;
}

/** Two ends, in any unit, which is not shown; or the one number that both show as. */
export function between(low: number, high: number, digits = 3): string {
  const [from, to] = [figure(low, digits), figure(high, digits)];
  return from === to ? from : `${from} to ${to}`;
}

/** A number in the SI unit of its dimension ([kg/s] for a mass flow), shown in `unit` and with it: `122 g/s`. */
export function inUnit(value: number, unit: string, dimension: Dimension, digits = 3): string {
  const scale = unitScale(unit, dimension);
  return `${figure((value - scale.offset) / scale.factor, digits)} ${unit}`;
}

/**
 * A number of a table, given in the SI unit of its dimension ([Hz], [kg/s]), shown in `unit` with all the digits it means and no more:
 * `1600 Hz`, `0.35 g/s`.
 */
export function exactly(value: number, unit: string, dimension: Dimension): string {
  const scale = unitScale(unit, dimension);
  return `${Number(((value - scale.offset) / scale.factor).toPrecision(7))} ${unit}`;
}

/** A share [1] as percent: `87.4 %`. */
export const percent = (value: number, digits = 3): string =>
  // What rounding of doubles leaves is none.
  `${figure(Math.abs(value) < 1e-9 ? 0 : 100 * value, digits)} %`;

/** A probability [1] in words that fit its certainty: `1 in 30`, `less than 1 in 1000`. */
export function chance(value: number): string {
  if (!(value > 0.001)) return "less than 1 in 1000";
  if (value >= 0.995) return "almost certain";
  if (value > 0.1) return `${figure(100 * value, 2)} %`;
  return `1 in ${Math.round(1 / value)}`;
}

const LIMITS: { readonly [limit: string]: string } = {
  sensor: "the sensor's range",
  capture: "the engine computer's input",
  table: "the table's last breakpoint",
  storage: "the table's number format",
};

/** What ends the usable signal, in words: `table` becomes `the table's last breakpoint`. */
export const limitWords = (limit: string): string =>
  (Object.hasOwn(LIMITS, limit) ? LIMITS[limit] : undefined) ?? limit;
