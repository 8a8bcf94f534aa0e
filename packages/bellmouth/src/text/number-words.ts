import type { Dimension } from "./unit-list.js";
import { unitScale } from "./unit-scale.js";

/**
 * A number for people, in any unit, which is not shown: three or four digits, thousands set apart, no exponent where
 * it can be helped.
 */
export function figure(value: number, digits = 3): string {
  if (value < 0) return `\u2212${figure(-value, digits)}`;
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
  return `${figure((value - scale.offset) / scale.factor, digits)} ${unitSign(unit)}`;
}

/**
 * A number of a table, given in the SI unit of its dimension ([Hz], [kg/s]), shown in `unit` with all the digits it means and no more:
 * `1600 Hz`, `0.35 g/s`.
 */
export function exactly(value: number, unit: string, dimension: Dimension): string {
  const scale = unitScale(unit, dimension);
  return `${Number(((value - scale.offset) / scale.factor).toPrecision(7))} ${unitSign(unit)}`;
}

/** A share [1] as percent: `87.4 %`. */
export const percent = (value: number, digits = 3): string =>
  // What rounding of doubles leaves is none.
  `${figure(Math.abs(value) < 1e-9 ? 0 : 100 * value, digits)} %`;

/** A probability [1] in percent, no finer than it is known: `under 0.1 %`, `2.3 %`, `over 99 %`. */
export function chance(value: number): string {
  if (!(value > 0.001)) return "under 0.1 %";
  return value > 0.99 ? "over 99 %" : `${figure(100 * value, 2)} %`;
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

const SIGNS: { readonly [unit: string]: string } = {
  degC: "°C",
  degF: "°F",
  "mm^2": "mm²",
  "cm^2": "cm²",
  "m^2": "m²",
  "cm^3": "cm³",
  "m^3": "m³",
};

/** A unit as print writes it: `°C` for `degC`. Documents read both. */
export const unitSign = (unit: string): string =>
  (Object.hasOwn(SIGNS, unit) ? SIGNS[unit] : undefined) ?? unit;

/**
 * A number in any unit with so many decimals, thousands set apart, a true minus sign; a dash where it is missing.
 *
 * @param decimals digits after the point [1]
 */
export function fixed(value: number, decimals: number): string {
  if (!Number.isFinite(value)) return "–";
  const [whole, part] = Math.abs(value).toFixed(decimals).split(".") as [string, string | undefined];
  const grouped = whole.length > 4 ? whole.replace(/\B(?=(\d{3})+$)/g, "\u202f") : whole;
  const sign = value < 0 && /[1-9]/.test(`${whole}${part ?? ""}`) ? "\u2212" : "";
  return `${sign}${grouped}${part === undefined ? "" : `.${part}`}`;
}

/** Decimals [1] that a step in any unit needs: 3 for 0.005, 0 for 2. */
export function decimalsOf(step: number): number {
  for (let decimals = 0; decimals < 9; decimals++)
    if (Math.abs(step * 10 ** decimals - Math.round(step * 10 ** decimals)) < 1e-6 * 10 ** decimals * step)
      return decimals;
  return 9;
}

/** Decimals [1] that show `digits` significant digits [1] of the largest of a column's values in any unit, the same for all of them. */
export function columnDecimals(values: readonly number[], digits: number): number {
  const most = values.reduce((a, b) => (Number.isFinite(b) ? Math.max(a, Math.abs(b)) : a), 0);
  return most > 0 ? Math.min(9, Math.max(0, digits - 1 - Math.floor(Math.log10(most)))) : 0;
}
