import { BellmouthError, type FaultPlace, type NumberRange } from "../fault/index.js";
import { shown } from "./nearest.js";
import { goesOn, leadingNumber, plainText, refuseNumber, shortestText } from "./number-text.js";
import { type Dimension, type DimensionTypes, SI_UNITS, unitsFor } from "./unit-list.js";
import { type UnitScale, unitScale } from "./unit-scale.js";

/** A quantity as it was written and as it was understood. */
export interface QuantityReading<D extends Dimension = Dimension> {
  readonly kind: "quantity";
  readonly dimension: D;
  /** as written */
  readonly text: string;
  /** spelling of the unit it was written in */
  readonly unit: string;
  /** in the SI unit of the dimension */
  readonly value: DimensionTypes[D];
}

/** A quantity with its standard uncertainty `u`, both in the SI unit of the dimension. */
export interface UncertainReading<D extends Dimension = Dimension> {
  readonly kind: "uncertain";
  readonly dimension: D;
  readonly text: string;
  readonly unit: string;
  readonly value: DimensionTypes[D];
  /** standard uncertainty (one sigma), >= 0; 0 when none was written */
  readonly u: number;
}

/** A span from the smaller to the larger end, in the SI unit of the dimension; one value gives equal ends. */
export interface SpanReading<D extends Dimension = Dimension> {
  readonly kind: "span";
  readonly dimension: D;
  readonly text: string;
  readonly unit: string;
  readonly from: DimensionTypes[D];
  readonly to: DimensionTypes[D];
}

export interface QuantityOptions {
  /** Where the text stands, for messages. */
  readonly at?: FaultPlace;
  /** Accepted range, in the SI unit. */
  readonly range?: NumberRange;
  /** Set when a ratio must be written as a percentage, because a bare 2 could mean 2 % or 200 %. */
  readonly percent?: boolean;
}

/**
 * Reads a quantity with its unit.
 *
 * @param text for example `3.6 lb/min`, `28 inH2O`, `85 degF`, `101.3 kPa absolute`; a plain number only for ratios [1]
 * @returns text as written, and the value in the SI unit of the dimension ([kg/s] for a mass flow)
 * @throws `E_NUMBER` when it does not start with a decimal number (decimal commas, NaN, grouped digits included),
 *   `E_UNIT` on the unit, `E_DOMAIN` outside `range`
 * @example
 * readQuantity("3.6 lb/min", "mass flow").value // ≈ 0.0272155
 */
export function readQuantity<D extends Dimension>(
  text: string | number,
  dimension: D,
  options: QuantityOptions = {},
): QuantityReading<D> {
  const at = options.at ?? {};
  const written = plainText(String(text));
  const { value, scale } = amount(written, dimension, undefined, options);
  inside(value, scale, options.range, written, at);
  return { kind: "quantity", dimension, text: written, unit: scale.unit, value: value as DimensionTypes[D] };
}

/** The value alone of `readQuantity`, in the SI unit of the dimension ([m] for a length); throws as it does. */
export const quantity = <D extends Dimension>(
  text: string | number,
  dimension: D,
  options: QuantityOptions = {},
): DimensionTypes[D] => readQuantity(text, dimension, options).value;

/**
 * Reads a quantity with an uncertainty: `70 mm ± 0.1 mm`, `0.6 ± 0.2`, `210 g/s ± 3 %` (`+-` and `+/-` will do).
 * What follows ± is one standard uncertainty, unless it says `limits` (the value lies anywhere between, so
 * the half width over the square root of three) or `at 95 %` (the half width over 1.96). Without ± the uncertainty
 * is zero.
 *
 * @param text a plain number only for ratios [1]
 * @returns value and standard uncertainty, both in the SI unit of the dimension
 * @source JCGM 100:2008 (GUM), 4.3.4 (normal, 95 %) and 4.3.7 (rectangular)
 * @throws as `readQuantity`
 * @example
 * readUncertain("70 mm ± 0.1 mm", "length").u // ≈ 0.0001
 * readUncertain("70 mm ± 0.3 mm limits", "length").u // ≈ 0.000173205
 */
export function readUncertain<D extends Dimension>(
  text: string | number,
  dimension: D,
  options: QuantityOptions = {},
): UncertainReading<D> {
  const at = options.at ?? {};
  const written = plainText(String(text));
  const parts = written.split(/\s*(?:±|\+\/-|\+-)\s*/u);
  if (parts.length > 2) {
    refuseNumber(written, "one value and one uncertainty, as in '70 mm ± 0.1 mm'", at);
  }
  const [left = "", right] = parts;
  if (right === undefined) {
    const reading = readQuantity(written, dimension, options);
    return { ...reading, kind: "uncertain", u: 0 };
  }
  const spread = spreadOf(right, dimension, at);
  // '70 ± 0.1 mm': the one unit serves both.
  const lent = spread.unit === "" || spread.unit === "%" ? undefined : spread.unit;
  const { value, scale } = amount(left, dimension, lent, options);
  inside(value, scale, options.range, written, at);
  const u = standardUncertainty(spread, value, scale, written, at);
  return {
    kind: "uncertain",
    dimension,
    text: written,
    unit: scale.unit,
    value: value as DimensionTypes[D],
    u,
  };
}

/**
 * Reads a span: `0.3 .. 0.5`, `30 Hz .. 11 kHz`, `0 .. 5 V`; a single value gives equal ends.
 *
 * @param text plain numbers only for ratios [1]
 * @returns both ends, in the SI unit of the dimension
 * @throws as `readQuantity`, `E_NUMBER` too when a dash stands for the two dots, and `E_ORDER` when the first end is the larger
 * @example
 * readSpan("0 .. 5 V", "voltage").to // ≈ 5
 */
export function readSpan<D extends Dimension>(
  text: string | number,
  dimension: D,
  options: QuantityOptions = {},
): SpanReading<D> {
  const at = options.at ?? {};
  const written = plainText(String(text));
  const parts = written.split(/\s*\.\.\s*/u);
  if (parts.length > 2) refuseNumber(written, "two ends, as in '0.3 .. 0.5'", at);
  if (/^[\d.]+(?![eE][+-]?\d)\s*[^\d\s.-]*\s*(?:-|–|—|to\b|bis\b|…)\s*[\d.]+\s*\S*$/u.test(written)) {
    throw new BellmouthError({
      code: "E_NUMBER",
      message: "two dots stand between the ends of a span",
      found: `'${shown(written)}'`,
      accepted: "as in '0.3 .. 0.5' or '1 kHz .. 11 kHz'",
      at,
    });
  }
  const [first = "", second] = parts;
  const last = amount(second ?? first, dimension, undefined, options);
  const start = second === undefined ? last : amount(first, dimension, last.scale.unit || undefined, options);
  inside(start.value, start.scale, options.range, written, at);
  inside(last.value, last.scale, options.range, written, at);
  if (!(start.value <= last.value)) {
    throw new BellmouthError({
      code: "E_ORDER",
      message: "a span goes from its smaller to its larger end",
      found: `'${shown(written)}'`,
      accepted: "the smaller end first, as in '0.3 .. 0.5'",
      at,
    });
  }
  return {
    kind: "span",
    dimension,
    text: written,
    unit: last.scale.unit,
    from: start.value as DimensionTypes[D],
    to: last.value as DimensionTypes[D],
  };
}

/**
 * Writes a value, given in the SI unit of its dimension ([kg/s] for a mass flow), in `unit` as text that reads back to
 * exactly the same value where doubles allow, else to 17 digits.
 *
 * @example
 * quantityText(0.21, "g/s", "mass flow") // => "210 g/s"
 */
export function quantityText(value: number, unit: string, dimension: Dimension): string {
  const scale = unitScale(unit, dimension);
  const number = shortestText(
    (value - scale.offset) / scale.factor,
    (x) => x * scale.factor + scale.offset,
    value,
  );
  return scale.unit === "" ? number : `${number} ${scale.unit}`;
}

/** A value in the SI unit of its dimension ([kg/s] for a mass flow), with it, to six digits: for messages and listings. */
export function siText(value: number, dimension: Dimension): string {
  const unit = SI_UNITS[dimension].shown;
  return `${Number(value.toPrecision(6))}${unit === "" ? "" : ` ${unit}`}`;
}

/** Number and unit of one part. `lent` is the unit of the other part, used when this one has none. */
function amount(
  text: string,
  dimension: Dimension,
  lent: string | undefined,
  options: QuantityOptions,
): { value: number; scale: UnitScale } {
  const at = options.at ?? {};
  const accepted =
    dimension === "ratio"
      ? "a number or a percentage, as in '0.6' or '2 %'"
      : `a number and its unit: ${unitsFor(dimension).join(", ")}`;
  const lead = leadingNumber(text);
  if (lead === undefined || goesOn(lead.rest)) return refuseNumber(text, accepted, at);
  const number = Number(lead.number);
  if (!Number.isFinite(number)) return refuseNumber(text, "a number that a double can hold", at);
  if (lead.rest === "" && lent === undefined && (dimension !== "ratio" || options.percent === true)) {
    throw new BellmouthError({
      code: "E_UNIT",
      message:
        options.percent === true ? "this needs a % sign" : `a number for a ${dimension} needs its unit`,
      found: `'${shown(text)}' without a unit`,
      accepted:
        options.percent === true
          ? `'${lead.number} %' if that is what is meant`
          : unitsFor(dimension).join(", "),
      at,
    });
  }
  const scale = unitScale(lead.rest === "" ? (lent ?? "") : lead.rest, dimension, at);
  return { value: number * scale.factor + scale.offset, scale };
}

interface Spread {
  readonly number: number;
  readonly unit: string;
  readonly relative: boolean;
  /** one standard uncertainty is the number divided by this */
  readonly divisor: number;
}

function spreadOf(text: string, dimension: Dimension, at: FaultPlace): Spread {
  const accepted = "an uncertainty such as '0.1 mm', '2 %', '0.3 mm limits' or '0.2 mm at 95 %'";
  const meaning = /^(.*?)\s*(limits|at 95 ?%)?$/su.exec(text);
  const lead = leadingNumber(meaning?.[1] ?? "");
  if (lead === undefined || goesOn(lead.rest)) return refuseNumber(text, accepted, at);
  const number = Number(lead.number);
  if (!(number >= 0) || !Number.isFinite(number)) return refuseNumber(text, `${accepted}, not negative`, at);
  const word = meaning?.[2];
  return {
    number,
    unit: lead.rest,
    relative: lead.rest === "%" && dimension !== "ratio",
    divisor: word === undefined ? 1 : word === "limits" ? Math.sqrt(3) : 1.959963984540054,
  };
}

function standardUncertainty(
  spread: Spread,
  value: number,
  scale: UnitScale,
  written: string,
  at: FaultPlace,
): number {
  const number = spread.number / spread.divisor;
  if (spread.relative) {
    if (scale.dimension === "temperature") {
      throw new BellmouthError({
        code: "E_UNIT",
        message: "a percentage of a temperature depends on its zero",
        found: `'${shown(written)}'`,
        accepted: "an uncertainty in K, degC or degF",
        at,
      });
    }
    return Math.abs(value) * number * 0.01;
  }
  if (scale.dimension === "ratio") {
    if (spread.unit === "%" && scale.unit !== "%") {
      throw new BellmouthError({
        code: "E_UNIT",
        message: "unclear whether the % is of the value or of one",
        found: `'${shown(written)}'`,
        accepted: "both as numbers ('0.95 ± 0.02') or both in % ('95 % ± 2 %', percentage points)",
        at,
      });
    }
    return number * scale.factor;
  }
  const dimension =
    scale.dimension === "temperature"
      ? "temperature difference"
      : scale.dimension === "pressure"
        ? "pressure difference"
        : scale.dimension;
  // '101.3 kPa absolute ± 0.2 kPa': the spread of an absolute pressure is a difference; the word may be repeated.
  const own = (spread.unit === "" ? scale.unit : spread.unit).replace(/ (absolute|abs|gauge)$/u, "");
  return number * unitScale(own === "psia" ? "psi" : own, dimension, at).factor;
}

/** What no value of a dimension can pass, where a field states nothing narrower. */
const PHYSICAL: { readonly [D in Dimension]?: NumberRange } = {
  temperature: { over: 0 },
  pressure: { from: 0 },
};

/** Refuses a value outside its range, in the unit it was written in. */
function inside(
  value: number,
  scale: UnitScale,
  stated: NumberRange | undefined,
  written: string,
  at: FaultPlace,
): void {
  const range = stated ?? PHYSICAL[scale.dimension];
  const low = range?.over ?? range?.from;
  const high = range?.under ?? range?.to;
  const fits =
    Number.isFinite(value) &&
    (range?.over === undefined || value > range.over) &&
    (range?.from === undefined || value >= range.from) &&
    (range?.under === undefined || value < range.under) &&
    (range?.to === undefined || value <= range.to);
  if (fits) return;
  const show = (si: number): string =>
    `${Number(((si - scale.offset) / scale.factor).toPrecision(6))}${scale.unit === "" ? "" : ` ${scale.unit}`}`;
  // 95 where 95 % is meant: the sign is what is missing.
  const hundredth = value / 100;
  const meant =
    scale.dimension === "ratio" &&
    scale.unit === "" &&
    value > 1 &&
    (low === undefined || hundredth >= low) &&
    (high === undefined || hundredth <= high);
  const bounds = [
    low === undefined ? undefined : `${range?.over === undefined ? ">=" : ">"} ${show(low)}`,
    high === undefined ? undefined : `${range?.under === undefined ? "<=" : "<"} ${show(high)}`,
  ].filter((bound) => bound !== undefined);
  throw new BellmouthError({
    code: "E_DOMAIN",
    message: `number outside the accepted range${meant ? `; a percentage has its sign: '${Number(value.toPrecision(6))} %'` : ""}`,
    found: `'${shown(written)}'`,
    accepted: bounds.length === 0 ? "a finite number" : bounds.join(" and "),
    at,
  });
}
