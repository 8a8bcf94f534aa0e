import { BellmouthError } from "../fault/index.js";
import { channelsNamed } from "./channel-rules.js";
import { conceptsOf } from "./concept-words.js";
import { DELIMITER_NAMES, findDelimiter, isComment, valueShare } from "./find-delimiter.js";
import {
  type Delimiter,
  type FileColumn,
  type FileEncoding,
  type FileLayout,
  mendDegrees,
  splitHeader,
} from "./layout.js";
import { splitRow } from "./split-row.js";
import { looksLikeUnit } from "./unit-words.js";

/** Lines of a sample that its layout is judged by. */
const LINES = 400;
/** Lines above the values that can name columns: groups, names, units, a description. */
const HEAD_LINES = 4;

/** Most columns of a file [1]; loggers write some hundred, and every column is compared with every other. */
const MOST_COLUMNS = 2_000;

export interface LayoutGuess {
  readonly layout: FileLayout;
  /** Cells of the sample's rows of values. */
  readonly rows: readonly (readonly string[])[];
  /** Text above the header and lines that speak to people. */
  readonly comments: readonly string[];
  readonly evidence: readonly string[];
}

const bare = (cell: string): string =>
  mendDegrees(cell)
    .trim()
    .replace(/^[[({](.*)[\])}]$/u, "$1")
    .trim();
/** Cells without the empty one that a trailing delimiter makes. */
const trimmed = (cells: readonly string[]): readonly string[] =>
  cells.length > 1 && cells.at(-1)?.trim() === "" ? cells.slice(0, -1) : cells;

const unitShare = (cells: readonly string[]): number => {
  const filled = cells.map(bare).filter((cell) => cell !== "");
  return filled.length === 0 ? 0 : filled.filter(looksLikeUnit).length / filled.length;
};
const namedChannels = (cells: readonly string[]): number =>
  cells.filter(
    (cell) =>
      channelsNamed(conceptsOf(splitHeader(cell).name)).length > 0 ||
      /^\s*"?(?:time|zeit|temps|tiempo|tempo|tijd|czas|tid)\b/iu.test(cell),
  ).length;

interface Heads {
  readonly header: number | null;
  readonly units: number | null;
  readonly groups: number | null;
}

/** Which of the lines above the values names the columns, which holds units, which labels groups. */
function findHeads(cells: readonly (readonly string[])[], firstData: number, width: number): Heads {
  const alike = (i: number): boolean => Math.abs((cells[i]?.length ?? 0) - width) <= 1;
  const above: number[] = [];
  for (let i = firstData - 1; i >= 0 && above.length < HEAD_LINES; i--) {
    const row = cells[i] ?? [];
    if (row.length === 0) continue;
    // Headers cut short of the row's width belong to the columns they reach.
    if (!alike(i) && !(above.length === 0 && row.length > 1 && row.length < width)) break;
    if (!row.some((cell) => /\p{L}|°|%/u.test(cell))) continue;
    above.push(i);
  }
  if (above.length === 0) return { header: null, units: null, groups: null };
  const withUnits = above.map((i) => ({
    i,
    share: unitShare(cells[i] ?? []),
    names: namedChannels(cells[i] ?? []),
  }));
  const most = withUnits.reduce((a, b) => (b.share > a.share ? b : a));
  const units =
    above.length > 1 && most.share >= 0.5 && most.names < (cells[most.i] ?? []).length / 2 ? most.i : null;
  const rest = withUnits.filter(({ i }) => i !== units);
  const header = rest.reduce((a, b) => (b.names > a.names ? b : a)).i;
  const over = rest.find(({ i }) => i < header);
  const labels = over === undefined ? [] : (cells[over.i] ?? []).filter((cell) => cell.trim() !== "");
  return { header, units, groups: over !== undefined && labels.length >= 2 ? over.i : null };
}

const cellsOf = (line: string, delimiter: Delimiter): readonly string[] =>
  line.trim() === "" || isComment(line)
    ? []
    : line.includes('"') || delimiter.startsWith(" ")
      ? splitRow(line, delimiter).fields
      : line.split(delimiter);

/** Labels of groups reach as far as the next label. */
function spread(cells: readonly string[]): readonly string[] {
  let last = "";
  return cells.map((cell) => {
    if (cell.trim() !== "") last = cell.trim();
    return last;
  });
}

function columnOf(cell: string, below: string, group: string | undefined, index: number): FileColumn {
  const text = mendDegrees(cell).replace(/\s+/gu, " ").trim();
  const { name, bracket } = splitHeader(text);
  // Brackets that hold no unit belong to the name: "O2 (bank 1)".
  const isUnit =
    bracket !== null &&
    (looksLikeUnit(bracket) || (/\[[^\]]*\]$/u.test(text) && !/\b(?:bank|sensor|b\d|s\d)/iu.test(bracket)));
  const own = isUnit && bracket !== "" ? bracket : null;
  const other = below === "" || own === null || own.toLowerCase() === below.toLowerCase() ? undefined : below;
  return {
    name: (isUnit ? name : text) || `column ${index + 1}`,
    unit: own ?? (below === "" ? null : below),
    ...(group === undefined || group === "" ? {} : { group }),
    ...(other === undefined ? {} : { otherUnit: other }),
  };
}

/**
 * Finds delimiter, decimal mark, header, units and comments in the first lines of a file.
 *
 * @throws `E_TOO_LITTLE_DATA` for a sample without text, `E_TOO_LARGE` for more columns than are read, `E_SYNTAX` where lines can be split in two ways
 */
export function guessLayout(text: string, encoding: FileEncoding): LayoutGuess {
  const all = text.replace(/^\uFEFF/u, "").split(/\r\n|\n|\r/u);
  // The last line may be cut short by the sample's end.
  const lines = all.length > 2 ? all.slice(0, -1) : all;
  const judged = lines.slice(0, LINES);
  if (judged.every((line) => line.trim() === "")) {
    throw new BellmouthError({
      code: "E_TOO_LITTLE_DATA",
      message: "the sample holds no text",
      accepted: "the first lines of a log",
    });
  }
  const { delimiter, decimal, cells, width } = findDelimiter(judged);
  const isData = (row: readonly string[]): boolean =>
    row.length > 0 && valueShare(row, decimal) >= 0.5 && Math.abs(trimmed(row).length - width) <= 1;
  const first = cells.findIndex((row, i) => {
    if (!isData(row)) return false;
    const next = cells.slice(i, i + 10).filter((later) => later.length > 0);
    return next.filter(isData).length >= 0.7 * next.length;
  });
  // A header alone: its line is the last with text.
  const firstData = first >= 0 ? first : cells.findLastIndex((row) => row.length > 0) + 1;
  const { header, units, groups } = findHeads(cells, firstData, width);
  const names = header === null ? [] : trimmed(cells[header] ?? []);
  const unitRow = units === null ? [] : (cells[units] ?? []);
  const labels = groups === null ? [] : spread(cells[groups] ?? []);
  const dataWidth = cells
    .slice(firstData, firstData + 50)
    .reduce((most, row) => Math.max(most, trimmed(row).length), 0);
  const count = header === null ? dataWidth : names.length;
  if (count > MOST_COLUMNS)
    throw new BellmouthError({
      code: "E_TOO_LARGE",
      message: "more columns than a file is read with",
      found: `${count} columns`,
      accepted: `at most ${MOST_COLUMNS}`,
      at: { line: (header ?? firstData) + 1, column: 1 },
    });
  const columns = Array.from({ length: count }, (_, i) =>
    columnOf(names[i] ?? "", bare(unitRow[i] ?? ""), labels[i], i),
  );
  const heads = [header, units, groups];
  return {
    layout: {
      encoding,
      delimiter,
      decimal,
      headerLine: header === null ? null : header + 1,
      unitLine: units === null ? null : units + 1,
      firstDataLine: firstData + 1,
      columns,
    },
    rows: [...cells.slice(firstData), ...lines.slice(LINES).map((line) => cellsOf(line, delimiter))].filter(
      (row) => row.length > 0,
    ),
    comments: judged.filter(
      (line, i) => line.trim() !== "" && ((i < firstData && !heads.includes(i)) || isComment(line)),
    ),
    evidence: [
      `${DELIMITER_NAMES[delimiter]} split the lines into ${width} cells`,
      header === null
        ? "no line above the values names the columns"
        : `line ${header + 1} names ${columns.length} columns`,
      ...(units === null ? [] : [`line ${units + 1} holds units`]),
      decimal === "," ? "cells hold decimal commas" : "cells hold decimal points or none",
    ],
  };
}
