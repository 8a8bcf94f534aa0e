import { refOf } from "./ask.js";
import { type CellForm, type ColumnScale, fieldValue, scaled } from "./cell.js";
import type { QuantityRule } from "./channel-rules.js";
import { requireColumns } from "./file-kind.js";
import { isComment } from "./find-delimiter.js";
import type { GivenChannel, GivenRef } from "./given.js";
import { guessLayout } from "./guess-layout.js";
import { judgeUnit, type UnitDoubt, type UnitFound, type UnitJudgement } from "./judge-unit.js";
import type { FileLayout } from "./layout.js";
import { type ColumnQuestion, choice } from "./question.js";
import { columnIndex } from "./read-columns.js";
import { cellFormOf, type SampledColumn, sampleColumns } from "./sample.js";
import { splitRow } from "./split-row.js";
import { type StatedFacts, statedFacts } from "./stated-facts.js";
import { type ColumnDimension, type ColumnUnit, columnUnit, unitNames } from "./unit-words.js";

/** A column that a table is read for. */
export interface WantedColumn {
  /** Its key in answers. */
  readonly name: string;
  /** Names that it certainly has. */
  readonly names: readonly string[];
  readonly rule: QuantityRule;
}

/** What a table's file does not say, as its owner answers it. */
export interface GivenTable {
  readonly columns: { readonly [name: string]: GivenChannel | undefined };
  readonly ignore?: readonly GivenRef[] | undefined;
}

export interface PlacedTableColumn {
  readonly name: string;
  /** From 0. */
  readonly column: number;
  readonly dimension: ColumnDimension;
  readonly unit: string;
  readonly scale: ColumnScale;
  readonly cells: CellForm | null;
  /** A mark in its numbers may stand between thousands as well as for the decimal mark. */
  readonly unclear: boolean;
}

/** What becomes of a column of a table. Plain data. */
export interface TableColumnUse {
  /** From 1. */
  readonly number: number;
  readonly name: string;
  readonly use: "used" | "asked" | "ignored";
  /** What it is read as; null where it is not used. */
  readonly as: string | null;
  readonly reason: string;
}
export type TableQuestion = Pick<ColumnQuestion, "kind" | "columns" | "text" | "choices"> & {
  readonly about: string;
};

export interface TableColumnsRead {
  readonly layout: FileLayout;
  /** Rows of values with their lines, from 1. */
  readonly rows: readonly { readonly line: number; readonly cells: readonly string[] }[];
  readonly placed: readonly PlacedTableColumn[];
  readonly columns: readonly TableColumnUse[];
  readonly questions: readonly TableQuestion[];
  readonly said: readonly string[];
}

/** Letters and figures of a name alone: `FILTER_BOX` and `filter box` are one. */
const letters = (name: string): string => name.toLowerCase().replace(/[^\p{L}\p{N}]+/gu, "");

/** Without the unit that stands at its end: `filter_box_inH2O`, `snorkel / mbar`. */
function withoutUnit(name: string, dimensions: readonly ColumnDimension[]): string {
  const tail = /^(.+?)[\s_,-]+(?:\/ )?([^\s_]+)$/u.exec(name);
  return tail !== null && dimensions.some((one) => columnUnit(one, tail[2] ?? "") !== undefined)
    ? (tail[1] as string)
    : name;
}

/** Score of a name that a table's column certainly has. */
const CERTAIN = 100;

interface Claim {
  readonly column: SampledColumn;
  readonly want: WantedColumn;
  /** More concepts of the name speak for it; a name that is certain counts most. */
  readonly score: number;
  readonly judged: UnitJudgement;
}

function nameScore(column: SampledColumn, { names, rule }: WantedColumn): number {
  const bare = letters(withoutUnit(column.name, rule.dimensions));
  if (names.some((name) => letters(name) === bare || letters(name) === letters(column.name))) return CERTAIN;
  if (rule.not.some((one) => column.concepts.has(one))) return 0;
  return rule.any.reduce(
    (most, all) => (all.length > most && all.every((one) => column.concepts.has(one)) ? all.length : most),
    0,
  );
}

/** The unit of a column that a table is read for, as the answers state it or as the file shows it. */
function unitOf(
  column: SampledColumn,
  rule: QuantityRule,
  facts: StatedFacts,
  given: GivenChannel | undefined,
): UnitJudgement {
  const count = columnUnit("counts", "counts") as ColumnUnit;
  if (rule.dimensions.length === 1 && rule.dimensions[0] === "ratio" && column.unit === null)
    return {
      kind: "found",
      unit: columnUnit("ratio", "1") as ColumnUnit,
      scale: { factor: 1, offset: 0 },
      how: "by its name",
    };
  if (
    rule.dimensions.length === 1 &&
    rule.dimensions[0] === "counts" &&
    (column.unit === null || columnUnit("counts", column.unit) !== undefined)
  )
    return {
      kind: "found",
      unit: count,
      scale: { factor: 1, offset: 0 },
      how: "counts, as the table is over counts",
    };
  if (given?.unit === undefined) return judgeUnit(column, rule, { facts, serviceData: false });
  const unit = rule.dimensions
    .map((one) => columnUnit(one, given.unit as string))
    .find((one) => one !== undefined);
  if (unit?.dimension === "counts")
    return given.perCount === undefined
      ? {
          kind: "doubt",
          about: "scale",
          text: `"${column.name.slice(0, 60)}" is in counts: how many volts (or hertz) is one?`,
          choices: [count],
        }
      : {
          kind: "found",
          unit,
          scale: { factor: given.perCount.value, offset: 0 },
          how: "counts, as the document says",
        };
  return unit === undefined || unit.scale === null
    ? {
        kind: "no",
        reason: `${given.unit} is not one of its units (${rule.dimensions.flatMap(unitNames).join(", ")})`,
      }
    : { kind: "found", unit, scale: unit.scale, how: `${unit.name}, as the document says` };
}

/** Lines of values: what repeats the header, speaks to people or is blank is none. */
function valueRows(text: string, layout: FileLayout): TableColumnsRead["rows"] {
  const lines = text.replace(/^\uFEFF/u, "").split(/\r\n|\n|\r/u);
  const header = layout.headerLine === null ? undefined : lines[layout.headerLine - 1]?.trim();
  const units = layout.unitLine === null ? undefined : lines[layout.unitLine - 1]?.trim();
  return lines.flatMap((line, i) => {
    if (i + 1 < layout.firstDataLine || line.trim() === "" || isComment(line)) return [];
    if (line.trim() === header || line.trim() === units) return [];
    const cells = splitRow(line, layout.delimiter).fields;
    const extra = cells.length === layout.columns.length + 1 && cells.at(-1)?.trim() === "";
    return [{ line: i + 1, cells: extra ? cells.slice(0, -1) : cells }];
  });
}

const DECIMALS: { readonly [mark in "," | "."]: RegExp } = {
  ",": /^\s*[+-]?(?:\d+,(?:\d{1,2}|\d{4,})|0\d*,\d+)\s*$/u,
  ".": /^\s*[+-]?(?:\d+\.(?:\d{1,2}|\d{4,})|0\d*\.\d+)\s*$/u,
};
const THOUSANDS: { readonly [mark in "," | "."]: RegExp } = {
  ",": /^\s*[+-]?\d{1,3}(?:,\d{3}){2,}|^\s*[+-]?\d{1,3}(?:,\d{3})+\.\d/u,
  ".": /^\s*[+-]?\d{1,3}(?:\.\d{3}){2,}|^\s*[+-]?\d{1,3}(?:\.\d{3})+,\d/u,
};

/** Most volts that a column of a car's table holds. */
const MOST_VOLTS = 60;

/** Whether the column's values can be the quantity's with the mark replaced: by a point, or taken out. */
function possibleAs(
  column: SampledColumn,
  { scale, unit }: UnitFound,
  { possible: [low, most] }: QuantityRule,
  mark: "," | ".",
  by: "." | "",
): boolean {
  const high = unit.dimension === "voltage" ? Math.min(MOST_VOLTS, most) : most;
  return column.cells.every((cell) => {
    const si = scaled(fieldValue(cell.replaceAll(mark, by), ".").value, scale);
    return Number.isNaN(si) || (si >= low && si <= high);
  });
}

/**
 * True where a mark that is read one way (decimal, or between thousands) may as well be the other: three digits behind every one, no cell of the
 * file that shows which, and values that both ways leave possible.
 */
function unclearMark(
  column: SampledColumn,
  all: readonly SampledColumn[],
  judged: UnitFound,
  rule: QuantityRule,
  decimal: "." | ",",
): boolean {
  const { group } = judged;
  const mark = group ?? column.group1 ?? (decimal === "," ? column.maybeGroup : null);
  if (mark !== "," && mark !== ".") return false;
  const asGroup = (group ?? column.group1) !== undefined;
  const shows = (asGroup ? THOUSANDS : DECIMALS)[mark];
  if (all.some(({ cells }) => cells.some((cell) => shows.test(cell)))) return false;
  return possibleAs(column, judged, rule, mark, asGroup ? "." : "");
}

function unitChoice(unit: ColumnUnit, key: string, ref: GivenRef) {
  return unit.dimension === "counts"
    ? choice(
        "counts, with their scale",
        { [key]: { column: ref, unit: "counts", scale: "5 V / 1023" } },
        true,
      )
    : choice(unit.name, { [key]: { column: ref, unit: unit.name } });
}

/**
 * A single column of numbers with decimal commas would split at them: a mark at the end of each line says that it is one. Any other text as it
 * is.
 */
function endedCells(text: string): string {
  const lines = text.split(/\r\n|\n|\r/u);
  const told = lines.filter((line) => line.trim() !== "" && !isComment(line));
  const numbers = told.filter((line) => /^\s*[+-]?\d+(?:,\d+)?\s*$/u.test(line));
  const heads = told.filter((line) => !numbers.includes(line));
  const single =
    numbers.some((line) => line.includes(",")) &&
    heads.length <= 2 &&
    heads.every((line) => !/[,;\t|]/u.test(line));
  return single ? lines.map((line) => (line.trim() === "" ? line : `${line};`)).join("\n") : text;
}

/**
 * Says of each column of a table which of the wanted ones it is. A name that is certain, words of the trade, and units decide; what leaves two
 * readings is asked.
 *
 * @param written the whole table, without byte order mark
 * @throws `E_ENCODING` for another kind of document, `E_SYNTAX` where lines can be split in two ways, `E_TOO_LITTLE_DATA` for no text,
 *   `E_COLUMN` for an answer about a column that is not there
 */
export function readTableColumns(
  written: string,
  wanted: readonly WantedColumn[],
  given: GivenTable = { columns: {} },
): TableColumnsRead {
  requireColumns(written);
  const text = endedCells(written);
  const { layout, rows, comments } = guessLayout(`${text}\n`, "utf-8");
  const columns = sampleColumns(layout, rows);
  const facts = statedFacts(comments);
  const uses = new Map<number, Omit<TableColumnUse, "number" | "name">>();
  const questions: TableQuestion[] = [];
  const placed: PlacedTableColumn[] = [];
  const numbered = (list: readonly SampledColumn[]) =>
    list.map(({ index, name }) => ({ number: index + 1, name }));
  const ask = (question: TableQuestion): void => {
    questions.push(question);
    for (const { number } of question.columns)
      uses.set(number - 1, { use: "asked", as: question.about, reason: question.text });
  };
  const askUnit = (column: SampledColumn, want: WantedColumn, doubt: UnitDoubt): void =>
    ask({
      kind: doubt.about,
      about: want.name,
      columns: numbered([column]),
      text: `${want.name}: ${doubt.text}`,
      choices: doubt.choices.map((unit) => unitChoice(unit, want.name, refOf(columns, column))),
    });
  const place = ({ column, want, judged }: Claim, perCount = facts.perCount): void => {
    if (judged.kind === "doubt") {
      askUnit(column, want, judged);
      return;
    }
    if (judged.kind === "no") {
      uses.set(column.index, { use: "ignored", as: null, reason: judged.reason });
      return;
    }
    const { unit, group } = judged;
    const unclear = unclearMark(column, columns, judged, want.rule, layout.decimal);
    const mark = group ?? column.group1;
    // What cannot be thousands (1145 V) is a decimal number.
    const decimal =
      unclear && (mark === "," || mark === ".") && !possibleAs(column, judged, want.rule, mark, "");
    const form = decimal ? { decimal: mark } : cellFormOf(column, unit.dimension, layout.decimal, mark);
    uses.set(column.index, { use: "used", as: want.name, reason: judged.how });
    placed.push({
      name: want.name,
      column: column.index,
      dimension:
        unit.dimension !== "counts" || perCount === null
          ? unit.dimension
          : perCount.unit === "Hz"
            ? "frequency"
            : "voltage",
      unit: unit.name,
      scale: form?.units === undefined ? judged.scale : { factor: 1, offset: 0 },
      cells: form ?? null,
      unclear: unclear && !decimal,
    });
  };

  for (const ref of given.ignore ?? [])
    uses.set(columnIndex(columns, ref, "columns.ignore"), {
      use: "ignored",
      as: null,
      reason: "as the document says",
    });
  for (const want of wanted) {
    const answer = given.columns[want.name];
    const [ref] = answer?.columns ?? [];
    if (answer === undefined || ref === undefined) continue;
    const column = columns[columnIndex(columns, ref, `columns.${want.name}`)] as SampledColumn;
    place(
      { column, want, score: CERTAIN, judged: unitOf(column, want.rule, facts, answer) },
      answer.perCount ?? facts.perCount,
    );
  }
  const claims = columns.flatMap((column): Claim[] => {
    if (
      uses.has(column.index) ||
      column.numbers.length < 0.5 * column.cells.length ||
      column.cells.length === 0
    )
      return [];
    const able = wanted
      .map((want) => ({
        column,
        want,
        score: nameScore(column, want),
        judged: unitOf(column, want.rule, facts, undefined),
      }))
      .filter(({ score, judged }) => score > 0 && judged.kind !== "no");
    const top = able.reduce((most, { score }) => Math.max(most, score), 0);
    return able.filter(({ score }) => score === top).slice(0, 1);
  });
  for (const want of wanted) {
    const all = claims.filter((claim) => claim.want === want);
    const taken = placed.find(({ name }) => name === want.name);
    const certain = all.filter(({ score }) => score === CERTAIN);
    const able = certain.length > 0 ? certain : all;
    const [first] = able;
    if (first === undefined) continue;
    if (taken === undefined && able.length > 1) {
      ask({
        kind: "which column",
        about: want.name,
        columns: numbered(able.map(({ column }) => column)),
        text: `${want.name}: which of ${able.map(({ column }) => `"${column.name.slice(0, 60)}"`).join(", ")} is it?`,
        choices: able.map(({ column }) =>
          choice(`"${column.name}"`, { [want.name]: { column: refOf(columns, column) } }),
        ),
      });
    } else if (taken === undefined) place(first);
    const read = columns[taken?.column ?? first.column.index]?.name;
    for (const { column } of all)
      if (!uses.has(column.index))
        uses.set(column.index, { use: "ignored", as: null, reason: `${want.name} is read from "${read}"` });
  }
  return {
    layout,
    rows: valueRows(text, layout),
    placed,
    columns: columns.map(({ index, name, cells }) => ({
      number: index + 1,
      name,
      ...(uses.get(index) ?? {
        use: "ignored" as const,
        as: null,
        reason:
          cells.length === 0 ? "it holds no value" : "its name says nothing that this table is read for",
      }),
    })),
    questions,
    said: facts.said,
  };
}
