import { fixed } from "../text/index.js";

/**
 * Two sums to compare after typing a table in: plain, and weighted by position (first value once, second twice, …), which swapped
 * cells change.
 *
 * @param values   as typed, in the table's unit
 * @param decimals of the values
 */
export function sumsOf(
  values: readonly number[],
  decimals: number,
): readonly { readonly name: string; readonly value: number; readonly text: string }[] {
  // Whole steps add without rounding, however many cells there are.
  const scale = 10 ** decimals;
  const steps = values.map((value) => Math.round(value * scale));
  const plain = steps.reduce((sum, value) => sum + value, 0) / scale;
  const weighted = steps.reduce((sum, value, i) => sum + (i + 1) * value, 0) / scale;
  return [
    { name: "sum", value: plain, text: fixed(plain, decimals) },
    { name: "sum by position", value: weighted, text: fixed(weighted, decimals) },
  ];
}

/** Both sums in a sentence, as every screen says them. */
export const sumWords = (values: readonly number[], decimals: number): string =>
  `After typing, compare: ${sumsOf(values, decimals)
    .map(({ name, text }) => `${name} ${text}`)
    .join("; ")}.`;
