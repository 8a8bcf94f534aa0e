/**
 * Ways to write the time of a row. `seconds` and its like are plain numbers of the quantity `duration`; the rest is text.
 * The truth of a time column is the time since the first row.
 */
export type ClockForm =
  | "number"
  | "clock" // 14:07:33.250
  | "clock with comma" // 14:07:33,250
  | "twelve hours" // 02:07:33.250 PM
  | "iso" // 2031-05-04T14:07:33.250
  | "iso zone" // 2031-05-04T14:07:33.250+02:00
  | "iso utc" // 2031-05-04T14:07:33.250Z
  | "dotted date" // 04.05.2031 14:07:33.250
  | "unix" // 1935842853.250
  | "unix ms"
  | "duration" // 00:01:05.250
  | "minutes" // 01:05.250
  | "short clock"; // 14:07 (hours and minutes)

/** 2031-05-04T14:07:33Z */
const START = Date.UTC(2031, 4, 4, 14, 7, 33);
const two = (n: number): string => String(n).padStart(2, "0");

export interface ClockWriter {
  readonly form: ClockForm;
  /** Digits of the seconds. */
  readonly digits: number;
  /** [ms] added to the start, to come near midnight or a change of zone. */
  readonly later?: number;
  /** From this row on the zone is one hour more (summer time begins); with `iso zone` alone. */
  readonly zoneChangesAt?: number;
}

function seconds(ms: number, digits: number, mark = "."): string {
  const whole = two(Math.floor(ms / 1000) % 60);
  return digits === 0
    ? whole
    : `${whole}${mark}${String(ms % 1000)
        .padStart(3, "0")
        .slice(0, digits)}`;
}

/** Text of a time [s] since the first row. */
export function writeClock(time: number, row: number, clock: ClockWriter): string {
  const { form, digits, later = 0 } = clock;
  const grain = 10 ** (3 - digits);
  const since = Math.round((time * 1000) / grain) * grain;
  const zoneHours = clock.zoneChangesAt !== undefined && row >= clock.zoneChangesAt ? 3 : 2;
  const at = new Date(START + later + since + (form === "iso zone" ? zoneHours * 3_600_000 : 0));
  const day = `${at.getUTCFullYear()}-${two(at.getUTCMonth() + 1)}-${two(at.getUTCDate())}`;
  const [h, m] = [at.getUTCHours(), at.getUTCMinutes()];
  const tail = (mark?: string): string => `${two(m)}:${seconds(at.getTime() % 60_000, digits, mark)}`;
  switch (form) {
    case "clock":
      return `${two(h)}:${tail()}`;
    case "clock with comma":
      return `${two(h)}:${tail(",")}`;
    case "twelve hours":
      return `${two(h % 12 === 0 ? 12 : h % 12)}:${tail()} ${h < 12 ? "AM" : "PM"}`;
    case "iso":
      return `${day}T${two(h)}:${tail()}`;
    case "iso zone":
      return `${day}T${two(h)}:${tail()}+${two(zoneHours)}:00`;
    case "iso utc":
      return `${day}T${two(h)}:${tail()}Z`;
    case "dotted date":
      return `${two(at.getUTCDate())}.${two(at.getUTCMonth() + 1)}.${at.getUTCFullYear()} ${two(h)}:${tail()}`;
    case "unix":
      return (at.getTime() / 1000).toFixed(digits);
    case "unix ms":
      return String(at.getTime());
    case "duration":
      return `${two(Math.floor(since / 3_600_000))}:${two(Math.floor(since / 60_000) % 60)}:${seconds(since % 60_000, digits)}`;
    case "minutes":
      return `${two(Math.floor(since / 60_000))}:${seconds(since % 60_000, digits)}`;
    case "short clock":
      return `${two(h)}:${two(m)}`;
    case "number":
      throw new Error("a plain number of seconds is written as a number");
  }
}

const DAY = 86_400;

/** Seconds that a text of a form says, from an origin of the form's own. */
function readClock(text: string, form: ClockForm): number {
  const numbers = (text.match(/\d+(?:[.,]\d+)?/g) ?? []).map((n) => Number(n.replace(",", ".")));
  const [a = Number.NaN, b = Number.NaN, c = 0] = numbers;
  switch (form) {
    case "clock":
    case "clock with comma":
    case "duration":
      return a * 3600 + b * 60 + c;
    case "twelve hours":
      return ((a % 12) + (text.endsWith("PM") ? 12 : 0)) * 3600 + b * 60 + c;
    case "short clock":
      return a * 3600 + b * 60;
    case "minutes":
      return a * 60 + b;
    case "unix":
      return a;
    case "unix ms":
      return a / 1000;
    case "iso":
      return Date.parse(`${text}Z`) / 1000;
    case "iso zone":
    case "iso utc":
      return Date.parse(text) / 1000;
    case "dotted date": {
      const [, d, m, y, rest] = /^(\d+)\.(\d+)\.(\d+) (.*)$/.exec(text) ?? [];
      return Date.parse(`${y}-${m}-${d}T${rest}Z`) / 1000;
    }
    case "number":
      return Number.NaN;
  }
}

/** Times [s] since the first written row; a time of day that falls by half a day or more has passed midnight. */
export function readClocks(texts: readonly string[], form: ClockForm): Float64Array {
  const out = new Float64Array(texts.length).fill(Number.NaN);
  let first = Number.NaN;
  let before = Number.NaN;
  let days = 0;
  const wraps = form.startsWith("clock") || form === "twelve hours" || form === "short clock";
  texts.forEach((text, i) => {
    if (text === "") return;
    const read = readClock(text, form);
    if (wraps && read < before - DAY / 2) days++;
    before = read;
    if (Number.isNaN(first)) first = read;
    out[i] = read + days * DAY - first;
  });
  return out;
}
