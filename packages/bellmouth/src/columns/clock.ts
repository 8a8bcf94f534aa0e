import { type FieldValue, isNothing, MISSING, UNREADABLE } from "./cell.js";

const CLOCK = /^(?:(\d{1,4}):)?(\d{1,2}):(\d{1,2}(?:[.,]\d+)?)(?::(\d{3}))?\s*([AaPp])?\.?(?:[Mm]\.?)?$/u;
const ZONE = "(Z|z|[+-]\\d{2}(?::?\\d{2})?|\\s*UTC|\\s*GMT)?";
const ISO = new RegExp(
  `^(\\d{4})[-/]?(\\d{2})[-/]?(\\d{2})(?:[T_ ]|\\s+)(\\d{1,2}):?(\\d{2}):?(\\d{2}(?:[.,]\\d+)?)${ZONE}$`,
  "u",
);
const OTHER_DATE = /^\d{1,2}[./-]\d{1,2}[./-]\d{2,4}[,\s]+(\d{1,2}:\d{2}:\d{2}.*)$/u;

const number = (text: string): number => Number(text.replace(",", "."));

/** Seconds of a zone such as `+01:00`; 0 for UTC. */
function zoneSeconds(zone: string | undefined): number {
  const match = /([+-])(\d{2}):?(\d{2})?/u.exec(zone ?? "");
  if (match === null) return 0;
  return (match[1] === "-" ? -1 : 1) * (Number(match[2]) * 3600 + Number(match[3] ?? 0) * 60);
}

/**
 * Seconds of a time of day or a duration (`HH:MM:SS.mmm`, `MM:SS.mmm`, `HH:MM:SS:mmm`, with AM or PM), or of a date with a
 * time (`2018-03-19T19:23:35.459+01:00`: seconds since 1970, UTC where it names its zone). Of dates in another
 * order only the time of day counts: which of two numbers is the day cannot be told, and a log needs no date.
 */
export function clockValue(text: string): FieldValue {
  const trimmed = text.trim();
  if (isNothing(trimmed)) return MISSING;
  const iso = ISO.exec(trimmed);
  if (iso !== null) {
    const [, year, month, day, hours, minutes, seconds = "0", zone] = iso;
    const s = number(seconds);
    const date = Date.UTC(Number(year), Number(month) - 1, Number(day)) / 1000;
    const sound = Number(month) <= 12 && Number(day) <= 31 && Number(hours) < 24 && Number(minutes) < 60;
    if (!sound || !(s < 61)) return UNREADABLE;
    return {
      value: date + Number(hours) * 3600 + Number(minutes) * 60 + s - zoneSeconds(zone),
      state: "number",
    };
  }
  const other = OTHER_DATE.exec(trimmed);
  const clock = CLOCK.exec(other?.[1] ?? trimmed);
  if (clock === null) return UNREADABLE;
  const [, hours = "0", minutes = "", seconds = "", thousandths, half] = clock;
  const s = number(seconds) + Number(thousandths ?? 0) / 1000;
  if (!(Number(minutes) < 60 && s < 61)) return UNREADABLE;
  if (half !== undefined && !(Number(hours) >= 1 && Number(hours) <= 12)) return UNREADABLE;
  const hour =
    half === undefined ? Number(hours) : (Number(hours) % 12) + (half.toLowerCase() === "p" ? 12 : 0);
  return { value: hour * 3600 + Number(minutes) * 60 + s, state: "number" };
}

/** True for text that {@link clockValue} reads. */
export const isClock = (text: string): boolean => clockValue(text).state === "number";

/** True for a date without a time. */
export const isDate = (text: string): boolean =>
  /^(?:\d{4}[-/.]\d{1,2}[-/.]\d{1,2}|\d{1,2}[-/.]\d{1,2}[-/.]\d{4})$/u.test(text.trim());
