import { BellmouthError, requireNumber } from "../fault/index.js";
import { isotonic } from "./isotonic.js";

/**
 * How the device stores a number: value = offset + step * code, code a whole number, value between `from` and `to`.
 * All four in the unit of the axis they store.
 */
export interface StorageFormat {
  readonly step: number;
  readonly offset: number;
  readonly from: number;
  readonly to: number;
}

/**
 * Storage of whole codes of a number of bits.
 *
 * @param format.bits   1 … 32
 * @param format.signed two's complement when true, else from zero up
 * @param format.step   value of one code [unit of the axis], > 0
 * @param format.offset value of code 0 [unit of the axis]
 * @throws `E_DOMAIN`
 * @example
 * storageFromBits({ bits: 16, signed: false, step: 1 / 128, offset: 0 }).to // ≈ 511.9921875
 */
export function storageFromBits(format: {
  readonly bits: number;
  readonly signed: boolean;
  readonly step: number;
  readonly offset: number;
}): StorageFormat {
  const { bits, signed, step, offset } = format;
  requireNumber(bits, "bits", "1", { from: 1, to: 32 });
  requireNumber(step, "step", "1", { over: 0 });
  requireNumber(offset, "offset", "1");
  const codes = 2 ** Math.trunc(bits);
  const least = signed ? -codes / 2 : 0;
  return { step, offset, from: offset + step * least, to: offset + step * (least + codes - 1) };
}

/** Conditions of a stored value. */
export type StorageFlag =
  | "clipped" // outside what the format holds
  | "moved" // moved off the nearest code to keep the order
  | "out of order"; // equal to or past its left neighbour although an order was asked for

export interface StoredValues {
  /** Values as the device will hold them. */
  readonly values: readonly number[];
  /** The same before clipping: rounded, and moved where flagged. */
  readonly unclipped: readonly number[];
  /** Codes of `values`. */
  readonly codes: readonly number[];
  /** Flags of each value. */
  readonly flags: readonly (readonly StorageFlag[])[];
}

export interface QuantiseOptions {
  /**
   * Order to keep among the stored values. Values that round to one code are spread to neighbouring codes, as
   * little as possible, and flagged `moved`; where the format has too few codes they are flagged `out of order`.
   */
  readonly keep: "increasing" | "decreasing" | "nothing";
}

/**
 * Rounds values to the nearest that the format holds (halves upwards; downwards where falling order is kept).
 *
 * Without a `moved` or `clipped` flag a value changes by at most half a step. Clipped values stay at the limit.
 *
 * @param values unit of the axis, finite
 * @throws `E_DOMAIN` for a format without room or a value that is not finite
 * @example
 * quantise([0.104, 0.256], { step: 0.01, offset: 0, from: 0, to: 0.2 }, { keep: "increasing" }).codes[0] // ≈ 10
 */
export function quantise(
  values: readonly number[],
  format: StorageFormat,
  options: QuantiseOptions,
): StoredValues {
  const [least, most] = codeRange(format);
  const { step, offset } = format;
  values.forEach((value, i) => {
    requireNumber(value, `values[${i}]`, "1");
  });
  const sign = options.keep === "decreasing" ? -1 : 1;
  // A falling order is a rising one of the negated codes.
  const exact = values.map((value) => (sign * (value - offset)) / step);
  const nearest = exact.map((code) => sign * Math.round(code));
  const kept =
    options.keep === "nothing"
      ? nearest
      : spread(exact, sign > 0 ? least : -most, sign > 0 ? most : -least).map((code) => sign * code);
  const codes = kept.map((code) => Math.min(most, Math.max(least, code)));
  const held = (code: number): number => offset + step * code;
  return {
    codes: codes.map((code) => code + 0), // no negative zero
    values: codes.map(held),
    unclipped: kept.map(held),
    flags: codes.map((code, i) => {
      const flags: StorageFlag[] = [];
      if (code !== kept[i]) flags.push("clipped");
      if (kept[i] !== nearest[i]) flags.push("moved");
      const left = codes[i - 1];
      if (options.keep !== "nothing" && left !== undefined && !(sign * code > sign * left)) {
        flags.push("out of order");
      }
      return flags;
    }),
  };
}

function codeRange(format: StorageFormat): readonly [number, number] {
  const { step, offset, from, to } = format;
  requireNumber(step, "step", "1", { over: 0 });
  requireNumber(offset, "offset", "1");
  requireNumber(from, "from", "1");
  requireNumber(to, "to", "1");
  // A limit given as text may lie a last bit off its code.
  const slack = 1e-6;
  const least = Math.ceil((from - offset) / step - slack);
  const most = Math.floor((to - offset) / step + slack);
  if (most >= least) return [least, most];
  throw new BellmouthError({
    code: "E_DOMAIN",
    message: "the storage format holds no value at all",
    found: `${from} to ${to} in steps of ${step}`,
    accepted: "at least one code between from and to",
    at: { path: "format" },
  });
}

/**
 * The strictly rising whole codes nearest to the given positions. Code less index must not fall, so runs that collide
 * are pooled to their mean; where plain rounding already rises, every pooled run rounds to the plain codes. Positions
 * beyond the format's limits are left for clipping; the others keep clear of the limits by as many codes as there
 * are values between, when there is room.
 */
function spread(exact: readonly number[], least: number, most: number): readonly number[] {
  const plain = exact.map((position) => Math.round(position));
  const inside = (code: number | undefined): boolean => code !== undefined && code >= least && code <= most;
  const start = plain.findIndex(inside);
  if (start < 0) return plain;
  let end = start;
  while (inside(plain[end + 1])) end++;
  const count = end + 1 - start;
  // A neighbour already clipped to the limit takes the limit's own code.
  const floor = least + (start > 0 ? 1 : 0);
  const ceiling = most - (end < plain.length - 1 ? 1 : 0);
  if (count > ceiling - floor + 1) return plain;
  const pooled = isotonic(exact.slice(start, end + 1).map((position, i) => position - i)).map((level, i) => {
    const code = Math.round(level) + i;
    return Math.min(ceiling - (count - 1 - i), Math.max(floor + i, code));
  });
  return [...plain.slice(0, start), ...pooled, ...plain.slice(end + 1)];
}
