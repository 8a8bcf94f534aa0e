import { BellmouthError } from "../../fault/index.js";
import { looksLikeUnit } from "./column-units.js";
import { type DecimalMark, fieldValue, isClock } from "./field.js";
import {
  type LogColumn,
  type LogDelimiter,
  type LogEncoding,
  type LogLayout,
  mendDegrees,
  splitHeader,
} from "./layout.js";
import { splitRow } from "./quoted-row.js";

/** Lines of a sample that are looked at. */
const LINES = 400;

export interface LayoutGuess {
  readonly layout: LogLayout;
  /** Cells of the sample's rows of values. */
  readonly rows: readonly (readonly string[])[];
  readonly evidence: readonly string[];
}

interface Reading {
  readonly delimiter: LogDelimiter;
  readonly decimal: DecimalMark;
  /** Usual number of cells in a line. */
  readonly width: number;
  /** Share of lines of that width times share of their cells that hold a number. */
  readonly score: number;
  readonly cells: readonly (readonly string[])[];
}

const NAMES: { readonly [delimiter in LogDelimiter]: string } = {
  ",": "commas",
  ";": "semicolons",
  "\t": "tabs",
  "|": "bars",
};
const PAIRS: readonly (readonly [LogDelimiter, DecimalMark])[] = [
  [",", "."],
  [";", "."],
  [";", ","],
  ["\t", "."],
  ["\t", ","],
  ["|", "."],
  ["|", ","],
];

const isNumber = (cell: string, decimal: DecimalMark): boolean =>
  fieldValue(cell, decimal).state === "number" || isClock(cell);

/** Cells without the empty one that a trailing delimiter makes. */
const trimmed = (cells: readonly string[]): readonly string[] =>
  cells.length > 1 && cells.at(-1)?.trim() === "" ? cells.slice(0, -1) : cells;

/** Share of the filled cells that hold a number; NaN for a line without any. */
const numberShare = (cells: readonly string[], decimal: DecimalMark): number => {
  const filled = cells.filter((cell) => cell.trim() !== "");
  return filled.filter((cell) => isNumber(cell, decimal)).length / filled.length;
};

function read(lines: readonly string[], delimiter: LogDelimiter, decimal: DecimalMark): Reading {
  const cells = lines.map((line) => (line.trim() === "" ? [] : splitRow(line, delimiter).fields));
  // The tail of the sample is values whatever stands at its head.
  const tail = cells.filter((row) => row.length > 0).slice(-100);
  const widths = new Map<number, number>();
  for (const row of tail) widths.set(row.length, (widths.get(row.length) ?? 0) + 1);
  const [width, count] = [...widths].sort((a, b) => b[1] - a[1] || b[0] - a[0])[0] ?? [0, 0];
  const shares = tail
    .filter((row) => row.length === width)
    .map((row) => numberShare(row, decimal))
    .filter((share) => !Number.isNaN(share));
  const share = shares.length === 0 ? 0 : shares.reduce((a, b) => a + b, 0) / shares.length;
  return { delimiter, decimal, width, score: tail.length === 0 ? 0 : (count / tail.length) * share, cells };
}

/** Chooses delimiter and decimal mark, or says that two readings are as good. */
function chooseReading(lines: readonly string[]): Reading {
  const readings = PAIRS.map(([delimiter, decimal]) => read(lines, delimiter, decimal));
  const wide = readings.filter(({ width }) => width > 1);
  const best = Math.max(...wide.map(({ score }) => score), 0);
  if (!(best > 0)) {
    // Nothing but text (a header alone), or a single column.
    const text = [...wide].sort((a, b) => b.width - a.width)[0];
    return text ?? (readings[0] as Reading);
  }
  // Without decimals in the sample both marks read alike: the point stands first and is taken.
  const close = wide
    .filter(({ score }) => score > 0.95 * best)
    .filter((one, i, all) => all.findIndex(({ delimiter }) => delimiter === one.delimiter) === i);
  if (close.length > 1) {
    throw new BellmouthError({
      code: "E_SYNTAX",
      message: "the sample can be read in more than one way",
      found: close
        .map(
          ({ delimiter, decimal, width }) =>
            `${width} columns between ${NAMES[delimiter]}, decimal "${decimal}"`,
        )
        .join("; or "),
      accepted: "a layout written by hand, or a longer sample",
    });
  }
  const winner = close[0] as Reading;
  const sameDelimiter = wide.filter(({ delimiter }) => delimiter === winner.delimiter);
  return sameDelimiter.reduce((a, b) => (b.score > a.score ? b : a));
}

/** Finds delimiter, decimal mark, header and units in the first lines of a log. */
export function guessLayout(text: string, encoding: LogEncoding): LayoutGuess {
  const all = text.replace(/^\uFEFF/, "").split(/\r\n|\n/);
  // The last line may be cut short by the sample's end.
  const lines = (all.length > 2 ? all.slice(0, -1) : all).slice(0, LINES);
  if (lines.every((line) => line.trim() === "")) {
    throw new BellmouthError({
      code: "E_TOO_LITTLE_DATA",
      message: "the sample holds no text",
      accepted: "the first lines of a log",
    });
  }
  if (lines.length === 1 && lines[0]?.includes("\r") === true) {
    throw new BellmouthError({
      code: "E_SYNTAX",
      message: "lines end in CR alone",
      accepted: "lines that end in LF or CR LF",
    });
  }
  const { delimiter, decimal, cells, width } = chooseReading(lines);
  const evidence = [`${NAMES[delimiter]} split the lines into ${width} cells`];
  const isData = (row: readonly string[]): boolean =>
    row.length > 0 && numberShare(row, decimal) >= 0.5 && Math.abs(row.length - width) <= 1;
  const first = cells.findIndex((row, i) => {
    if (!isData(row)) return false;
    const next = cells.slice(i, i + 10).filter((later) => later.length > 0);
    return next.filter(isData).length >= 0.8 * next.length;
  });
  // A header alone: its line is the last with text.
  const firstData = first >= 0 ? first : cells.findLastIndex((row) => row.length > 0) + 1;

  const above = cells.flatMap((row, i) => (i < firstData && row.length > 0 ? [i] : []));
  const last = above.at(-1);
  const before = above.at(-2);
  const bare = (cell: string): string => cell.trim().replace(/^[[(](.*)[\])]$/, "$1");
  const alike = (i: number): boolean => Math.abs((cells[i]?.length ?? 0) - width) <= 1;
  let header = last !== undefined && alike(last) ? last : null;
  let unitLine: number | null = null;
  if (header !== null && before !== undefined && alike(before)) {
    const texts = (cells[header] ?? []).map(bare).filter((cell) => cell !== "");
    if (texts.length > 0 && texts.every(looksLikeUnit)) {
      unitLine = header;
      header = before;
    }
  }
  const names = header === null ? [] : trimmed(cells[header] ?? []);
  const units = unitLine === null ? [] : (cells[unitLine] ?? []);
  const dataWidth = Math.max(0, ...cells.slice(firstData, firstData + 50).map((row) => trimmed(row).length));
  const count = header === null ? dataWidth : names.length;
  const columns = Array.from({ length: count }, (_, i): LogColumn => {
    const cell = mendDegrees(names[i] ?? "").trim();
    const { name, bracket } = splitHeader(cell);
    // Brackets that hold no unit belong to the name: "O2 (bank 1)".
    const isUnit = bracket !== null && looksLikeUnit(bracket);
    const below = mendDegrees(bare(units[i] ?? ""));
    const unit = below !== "" ? below : isUnit && bracket !== "" ? bracket : null;
    return { name: (isUnit ? name : cell) || `column ${i + 1}`, unit };
  });
  evidence.push(
    header === null
      ? "no line above the values names the columns"
      : `line ${header + 1} names ${columns.length} columns`,
    ...(unitLine === null ? [] : [`line ${unitLine + 1} holds units`]),
    decimal === "," ? "cells hold decimal commas" : "cells hold decimal points or none",
  );
  return {
    layout: {
      encoding,
      delimiter,
      decimal,
      headerLine: header === null ? null : header + 1,
      unitLine: unitLine === null ? null : unitLine + 1,
      firstDataLine: firstData + 1,
      columns,
    },
    rows: cells.slice(firstData).filter((row) => row.length > 0),
    evidence,
  };
}
