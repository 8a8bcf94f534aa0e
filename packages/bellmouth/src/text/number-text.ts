import { BellmouthError, type FaultPlace } from "../fault/index.js";
import { shown } from "./nearest.js";

/** A decimal number as documents and tables write it: `12`, `-0.5`, `.5`, `1e-3`. */
export const NUMBER_PATTERN = /^[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?$/u;

/** The number at the start of a quantity, and the rest; blanks and minus signs made plain. */
export interface LeadingNumber {
  readonly number: string;
  readonly rest: string;
}

/** Ordinary spaces for the kinds that word processors put in, a hyphen for the minus sign. */
export const plainText = (text: string): string =>
  text
    .replace(/[\u00a0\u2007\u2009\u202f]/gu, " ")
    .replace(/\u2212/gu, "-")
    .trim();

/** Splits `3.6 lb/min` into its number and unit, or `undefined` when it does not start with a number. */
export function leadingNumber(text: string): LeadingNumber | undefined {
  const match = /^([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)(.*)$/su.exec(text);
  return match === null ? undefined : { number: match[1] ?? "", rest: (match[2] ?? "").trim() };
}

/**
 * Throws `E_NUMBER` for text that should begin with a number and does not, or whose number goes on in a way this
 * does not read, and says how to mend the usual mistakes.
 */
export function refuseNumber(text: string, accepted: string, at: FaultPlace): never {
  throw new BellmouthError({
    code: "E_NUMBER",
    message: numberHint(text),
    found: text === "" ? "nothing" : `'${shown(text)}'`,
    accepted,
    at,
  });
}

/** Why text is not read as a number. */
export function numberHint(text: string): string {
  if (text === "") return "a number is missing";
  if (/^[+-]?(nan|inf|infinity|\.nan|[+-]?\.inf)\b/iu.test(text)) return "not a finite number";
  if (/^[+-]?\d{1,3}(?:[, ]\d{3})+(?!\d)/u.test(text)) {
    return "digits are not grouped here, and a decimal mark is a point: write 1234 or 1.234, not 1,234";
  }
  if (/^[+-]?\d*,\d/u.test(text)) return "the decimal mark is a point: write 3.6, not 3,6";
  if (/^[+-]?0x/iu.test(text)) return "numbers are decimal here, not hexadecimal";
  if (/^\d+(?:[ -]\d+)?\/\d/u.test(text)) return "fractions are written as decimals: 2.875, not 2 7/8";
  if (/^[<>~≈]/u.test(text)) return "a number stands alone, without a sign of comparison";
  return "not a number";
}

/** True when the text after a number shows that the number was cut short: `3` of `3,6`. */
export const goesOn = (rest: string): boolean => /^(?:[,'’]\d|\.|\d| \d|x\d)/u.test(rest);

/**
 * The shortest text, of at least 12 digits if needed, that `back` turns into `value` again; 17 digits when
 * none does. Whole numbers come out whole: 0.21 kg/s in g/s is `210`, not `210.00000000000003`.
 *
 * @param written the number to show
 * @param back    gives the value again from a number read back
 * @param value   what `back` should give
 * @param slack   how far off it may be, relative [1]; exactly `value` when left out
 */
export function shortestText(
  written: number,
  back: (written: number) => number = (x) => x,
  value: number = written,
  slack = 0,
): string {
  for (const digits of [6, 9, 12, 15, 16]) {
    const text = String(Number(written.toPrecision(digits)));
    if (Math.abs(back(Number(text)) - value) <= slack * Math.abs(value)) return text;
  }
  return String(Number(written.toPrecision(17)));
}
