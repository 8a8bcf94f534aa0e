/** Decimal mark of a file. */
export type DecimalMark = "." | ",";
/** Mark between groups of three digits. */
export type GroupMark = "," | "." | " " | "'";

/** SI value = number * factor + offset; factor / number where the number stands for a reciprocal (a period, a richness). */
export interface ColumnScale {
  readonly factor: number;
  readonly offset: number;
  readonly reciprocal?: true;
}

const PLAIN = /^[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?$/;
const LEADING = /^[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+(?![A-Za-z]))?/;
/** What is written where there is no value. Anything else that is not a number is counted as unreadable. */
const NOTHING = new Set([
  "",
  "-",
  "--",
  "---",
  "na",
  "n/a",
  "nan",
  "null",
  "none",
  "?",
  "no data",
  "nodata",
  "#n/a",
  "#na",
  "#div/0!",
  "#value!",
  "n.v.",
  "k.a.",
]);

/** What a cell holds. */
export interface FieldValue {
  /** NaN when there is no number. */
  readonly value: number;
  readonly state: "number" | "missing" | "unreadable";
}
export const MISSING: FieldValue = { value: Number.NaN, state: "missing" };
export const UNREADABLE: FieldValue = { value: Number.NaN, state: "unreadable" };

/** True for text that stands for "no value". */
export const isNothing = (text: string): boolean => NOTHING.has(text.trim().toLowerCase());

/**
 * The number in a cell: this function says what the fast scanner has to reproduce bit for bit. A mark of thousands,
 * a unit, hexadecimal digits or a second decimal mark make a cell unreadable rather than something near its number.
 */
export function fieldValue(text: string, decimal: DecimalMark): FieldValue {
  const trimmed = text.trim();
  if (NOTHING.has(trimmed.toLowerCase())) return MISSING;
  if (decimal === "," && trimmed.includes(".")) return UNREADABLE;
  const dotted = decimal === "," ? trimmed.replace(",", ".") : trimmed;
  if (!PLAIN.test(dotted)) return UNREADABLE;
  const value = Number(dotted);
  return Number.isFinite(value) ? { value, state: "number" } : UNREADABLE;
}

/** How cells of one column differ from plain numbers. */
export interface CellForm {
  readonly decimal: DecimalMark;
  /** Digits stand in groups of three, in some cells at least. */
  readonly group?: GroupMark | undefined;
  /** Units stand in the cells: what each does to its number. */
  readonly units?: ReadonlyMap<string, ColumnScale> | undefined;
}

const unspaced = (text: string): string => text.replace(/[\u00a0\u2007\u2009\u202f]/gu, " ").trim();
const escaped = (mark: string): string => (mark === "'" ? "['\u2019]" : mark === "." ? "\\." : mark);
const grouped = (group: GroupMark): RegExp =>
  new RegExp(`^[+-]?[1-9]\\d{0,2}(?:${escaped(group)}\\d{3})+(?![\\d])`, "u");
const GROUPED: { readonly [mark in GroupMark]: RegExp } = {
  ",": grouped(","),
  ".": grouped("."),
  " ": grouped(" "),
  "'": grouped("'"),
};

/** Takes the marks between groups of digits out; the text as it was where they do not stand in groups of three. */
export function ungrouped(text: string, group: GroupMark): string {
  const head = GROUPED[group].exec(text);
  return head === null ? text : head[0].replace(/[^\d+-]/gu, "") + text.slice(head[0].length);
}

/** Number and what stands behind it; null where the cell does not begin with a number. */
export function numberAndRest(
  text: string,
  form: Pick<CellForm, "decimal" | "group">,
): { readonly value: number; readonly rest: string } | null {
  let plain = unspaced(text);
  if (form.group !== undefined) plain = ungrouped(plain, form.group);
  if (form.decimal === ",") {
    if (/^[+-]?\d+\.\d/u.test(plain)) return null;
    plain = plain.replace(",", ".");
  }
  const head = LEADING.exec(plain);
  if (head === null) return null;
  const value = Number(head[0]);
  return Number.isFinite(value) ? { value, rest: plain.slice(head[0].length).trim() } : null;
}

/** The number in a cell of a column whose cells carry marks of thousands or units. With units the value is in SI. */
export function formedValue(text: string, form: CellForm): FieldValue {
  if (isNothing(text)) return MISSING;
  const read = numberAndRest(text, form);
  if (read === null) return UNREADABLE;
  if (form.units === undefined) return read.rest === "" ? { value: read.value, state: "number" } : UNREADABLE;
  const scale = form.units.get(read.rest);
  return scale === undefined ? UNREADABLE : { value: scaled(read.value, scale), state: "number" };
}

/** A column's number in SI. */
export const scaled = (value: number, { factor, offset, reciprocal }: ColumnScale): number =>
  reciprocal === true ? factor / value + offset : value * factor + offset;
