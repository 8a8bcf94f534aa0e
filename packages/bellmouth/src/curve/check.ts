import { BellmouthError } from "../fault/index.js";

/** Where a list fails to rise. */
export interface OrderBreak {
  /** Index of the value that is not above its left neighbour. */
  readonly index: number;
  readonly left: number;
  readonly value: number;
}

/**
 * Every place where a list is not strictly increasing; NaN never counts as increasing. Empty for a good list.
 *
 * @example
 * checkIncreasing([1, 2, 2, 5]).length // ≈ 1
 */
export function checkIncreasing(values: readonly number[]): readonly OrderBreak[] {
  const breaks: OrderBreak[] = [];
  for (let index = 1; index < values.length; index++) {
    const left = values[index - 1] as number;
    const value = values[index] as number;
    if (!(value > left)) breaks.push({ index, left, value });
  }
  return breaks;
}

/** Which way a list goes without a stop: rising, falling, or neither. */
export function direction(values: readonly number[]): "rising" | "falling" | "neither" {
  const rises = values.every((value, i) => i === 0 || value > (values[i - 1] as number));
  if (rises) return "rising";
  const falls = values.every((value, i) => i === 0 || value < (values[i - 1] as number));
  return falls ? "falling" : "neither";
}

/** Throws `E_SHAPE` unless the two lists are of one length. */
export function requireSameLength(a: number, b: number, path: string): void {
  if (a === b) return;
  throw new BellmouthError({
    code: "E_SHAPE",
    message: "lists of unequal length",
    found: `${b} where ${a} are needed`,
    accepted: `${a} values`,
    at: { path },
  });
}
