/** Decimal mark of a log. */
export type DecimalMark = "." | ",";

const PLAIN = /^[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?$/;
/** What loggers write where they have no value. Anything else that is not a number is counted as unreadable. */
const NOTHING = new Set(["", "-", "--", "---", "na", "n/a", "nan", "null", "none", "?", "no data", "#n/a"]);

/** What a cell holds. */
export interface FieldValue {
  /** NaN when there is no number. */
  readonly value: number;
  readonly state: "number" | "missing" | "unreadable";
}

const MISSING: FieldValue = { value: Number.NaN, state: "missing" };
const UNREADABLE: FieldValue = { value: Number.NaN, state: "unreadable" };

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

const CLOCK = /^(?:(\d{1,3}):)?(\d{1,2}):(\d{1,2}(?:[.,]\d+)?)$/;
const DATE_AND_CLOCK =
  /^(\d{4})-(\d{2})-(\d{2})[T ](\d{1,2}):(\d{2}):(\d{2}(?:[.,]\d+)?)(Z|[+-]\d{2}:?\d{2})?$/;

/**
 * Seconds of a time of day (`HH:MM:SS.mmm`, `MM:SS.mmm`) or of a date with a time (`2018-03-19T19:23:35.459`, seconds
 * since 1970 in whatever zone it is written).
 */
export function clockValue(text: string): FieldValue {
  const trimmed = text.trim();
  if (NOTHING.has(trimmed.toLowerCase())) return MISSING;
  const clock = CLOCK.exec(trimmed);
  if (clock !== null) {
    const [, hours = "0", minutes = "", seconds = ""] = clock;
    if (!(Number(minutes) < 60)) return UNREADABLE;
    const s = Number(seconds.replace(",", "."));
    if (!(s < 61)) return UNREADABLE;
    return { value: Number(hours) * 3600 + Number(minutes) * 60 + s, state: "number" };
  }
  const date = DATE_AND_CLOCK.exec(trimmed);
  if (date !== null) {
    const [, year, month, day, hours, minutes, seconds = "0"] = date;
    const midnight = Date.UTC(Number(year), Number(month) - 1, Number(day));
    const s = Number(seconds.replace(",", "."));
    if (!(Number(hours) < 24 && Number(minutes) < 60 && s < 61)) return UNREADABLE;
    return { value: midnight / 1000 + Number(hours) * 3600 + Number(minutes) * 60 + s, state: "number" };
  }
  return UNREADABLE;
}

/** True for text that {@link clockValue} reads. */
export const isClock = (text: string): boolean => clockValue(text).state === "number";
