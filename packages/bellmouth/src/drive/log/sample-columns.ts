import { wordsOf } from "./channel-words.js";
import { type DecimalMark, fieldValue } from "./field.js";
import type { LogColumn, LogLayout } from "./layout.js";

/** A column with what its cells in a sample hold. */
export interface ColumnSample extends LogColumn {
  readonly index: number;
  readonly words: readonly string[];
  readonly cells: readonly string[];
  readonly numbers: readonly number[];
}

export function sampleColumns(
  layout: LogLayout,
  rows: readonly (readonly string[])[],
  decimal: DecimalMark,
): readonly ColumnSample[] {
  return layout.columns.map(({ name, unit }, index) => {
    const cells = rows.map((row) => row[index] ?? "").filter((cell) => cell.trim() !== "");
    const numbers = cells
      .map((cell) => fieldValue(cell, decimal).value)
      .filter((value) => !Number.isNaN(value));
    return { index, name, unit, words: wordsOf(name), cells, numbers };
  });
}
