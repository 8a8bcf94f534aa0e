import { BellmouthError } from "../fault/index.js";
import { type DecimalMark, fieldValue, isNothing, numberAndRest } from "./cell.js";
import { isClock, isDate } from "./clock.js";
import type { Delimiter } from "./layout.js";
import { splitRow } from "./split-row.js";
import { looksLikeUnit } from "./unit-words.js";

/** One way to split a file's lines into cells. */
export interface Splitting {
  readonly delimiter: Delimiter;
  readonly decimal: DecimalMark;
  /** Usual number of cells in a line. */
  readonly width: number;
  /** Share of lines of that width times share of their cells that hold a number. */
  readonly score: number;
  /** Of every line; empty for blank ones and comments. */
  readonly cells: readonly (readonly string[])[];
}

export const DELIMITER_NAMES: { readonly [delimiter in Delimiter]: string } = {
  ",": "commas",
  ";": "semicolons",
  "\t": "tabs",
  "|": "bars",
  " ": "blanks",
  "  ": "runs of blanks",
};
const PAIRS: readonly (readonly [Delimiter, DecimalMark])[] = [
  [",", "."],
  [";", "."],
  [";", ","],
  ["\t", "."],
  ["\t", ","],
  ["|", "."],
  ["|", ","],
  ["  ", "."],
  ["  ", ","],
  [" ", "."],
  [" ", ","],
  [",", ","],
];

/** A line that only speaks to people. */
export const isComment = (line: string): boolean =>
  /^\s*"?\s*(?:#|\/\/|;;(?!.*;)|%%?\s|--\s|\*\s|!)/u.test(line);

/** True for a cell that holds a value: a number, with a unit or grouped digits too, or a time. */
export function isValue(cell: string, decimal: DecimalMark): boolean {
  if (fieldValue(cell, decimal).state === "number" || isClock(cell) || isDate(cell)) return true;
  const group = decimal === "." ? "," : ".";
  const read = numberAndRest(cell, { decimal, group: /\d \d{3}/u.test(cell) ? " " : group });
  return read !== null && (read.rest === "" || looksLikeUnit(read.rest));
}

/** Share of the filled cells that hold a value; NaN for a line without any. */
export function valueShare(cells: readonly string[], decimal: DecimalMark): number {
  const filled = cells.filter((cell) => !isNothing(cell));
  return filled.filter((cell) => isValue(cell, decimal)).length / filled.length;
}

function split(lines: readonly string[], delimiter: Delimiter, decimal: DecimalMark): Splitting {
  const cells = lines.map((line) =>
    line.trim() === "" || isComment(line) ? [] : splitRow(line, delimiter).fields,
  );
  // The tail of the sample is values whatever stands at its head.
  const tail = cells.filter((row) => row.length > 0).slice(-100);
  const widths = new Map<number, number>();
  for (const row of tail) widths.set(row.length, (widths.get(row.length) ?? 0) + 1);
  const [width, count] = [...widths].sort((a, b) => b[1] - a[1] || b[0] - a[0])[0] ?? [0, 0];
  const shares = tail
    .filter((row) => row.length === width)
    .map((row) => valueShare(row, decimal))
    .filter((share) => !Number.isNaN(share));
  const share = shares.length === 0 ? 0 : shares.reduce((a, b) => a + b, 0) / shares.length;
  // A line of names that splits the same way speaks for it: numbers with decimal commas do not split like their names.
  const named = cells.some(
    (row) => Math.abs(row.length - width) <= 1 && row.length > 1 && !(valueShare(row, decimal) > 0.3),
  );
  const score = tail.length === 0 ? 0 : (count / tail.length) * share * (named ? 1 : 0.9);
  return { delimiter, decimal, width, score, cells };
}

/** Splitting by blanks is for files in which nothing else separates cells. */
const isBlank = (delimiter: Delimiter): boolean => delimiter === " " || delimiter === "  ";

/**
 * Chooses delimiter and decimal mark.
 *
 * @throws `E_SYNTAX` where two ways are as good
 */
export function findDelimiter(lines: readonly string[]): Splitting {
  const quotedCommas = lines.some((line) => /"[+-]?\d+,\d+"/u.test(line));
  const all = PAIRS.filter(([delimiter, decimal]) => delimiter !== decimal || quotedCommas).map(
    ([delimiter, decimal]) => split(lines, delimiter, decimal),
  );
  const solid = all.filter(({ width, delimiter }) => width > 1 && !isBlank(delimiter));
  const wide = solid.some(({ score }) => score > 0.5) ? solid : all.filter(({ width }) => width > 1);
  const best = wide.reduce((most, { score }) => Math.max(most, score), 0);
  if (!(best > 0)) {
    // Nothing but text (a header alone), or a single column.
    const single = all
      .filter(({ delimiter, width }) => delimiter === "\t" && width === 1)
      .sort((a, b) => b.score - a.score)[0];
    if (single !== undefined && single.score > 0.5) return { ...single, delimiter: ";" };
    const text = [...solid].sort((a, b) => b.width - a.width)[0];
    return text ?? single ?? (all[0] as Splitting);
  }
  // Without decimals in the sample both marks read alike: the point stands first and is taken.
  const close = wide
    .filter(({ score }) => score > 0.95 * best)
    .filter((one, i, list) => list.findIndex(({ delimiter }) => delimiter === one.delimiter) === i);
  const lead = close.some(({ delimiter }) => !isBlank(delimiter))
    ? close.filter(({ delimiter }) => !isBlank(delimiter))
    : close.slice(0, 1);
  if (lead.length > 1) {
    throw new BellmouthError({
      code: "E_SYNTAX",
      message: "the sample can be read in more than one way",
      found: lead
        .map(
          ({ delimiter, decimal, width }) =>
            `${width} columns between ${DELIMITER_NAMES[delimiter]}, decimal "${decimal}"`,
        )
        .join("; or "),
      accepted: "one delimiter between all cells, or a longer file",
    });
  }
  const winner = lead[0] as Splitting;
  const same = wide.filter(({ delimiter }) => delimiter === winner.delimiter);
  return same.reduce((a, b) => (b.score > a.score ? b : a));
}
