import { type ChannelName, ruleOf } from "./channels.js";
import type { Column, Dialect } from "./dialect.js";
import type { CorpusFile } from "./file.js";
import { LEXICON, sensesOf } from "./lexicon.js";
import { MEANINGS, type Meaning } from "./meaning.js";
import { DIGITS, FORMATS, type NumberFormat } from "./number-format.js";
import { isPlausible, risesWith, type World } from "./plausible.js";
import { readCells, writeCell, writeComments, writeHeader } from "./print.js";

/**
 * What a file leaves open, computed: a column is ambiguous when another dialect prints the very same bytes from other
 * values of a car that could exist. A rival dialect differs in what a column holds, in what its numbers mean, or in how
 * all numbers are written.
 */
export type Status =
  | "certain" // no other drive prints these bytes: a question is needless
  | "either" // another drive prints them, but only an extraordinary one: ask or read
  | "ambiguous"; // an ordinary other drive prints them: must be asked

/** One way to read a column. */
export interface Reading {
  readonly column: Column;
  readonly format: NumberFormat;
  readonly values: Float64Array;
  readonly worlds: readonly World[];
}

/** Channels of the kind "service-data units", SAE J1979: what a bare number then means. */
const SERVICE: Partial<Record<ChannelName, string>> = {
  time: "s",
  airflow: "g/s",
  "engine speed": "rpm",
  "vehicle speed": "km/h",
  coolant: "degC",
  "intake air": "degC",
  "manifold pressure": "kPa absolute",
  barometer: "kPa absolute",
  "short trim": "percent",
  "long trim": "percent",
  throttle: "%",
};

/** A meaning that leaves the written number as it is: what a column says before anything is meant by it. */
const WRITTEN: Meaning = MEANINGS.plain[0];

const TABLE_ONLY: ReadonlySet<ChannelName> = new Set([
  "temperature",
  "resistance",
  "input voltage",
  "pressure drop",
]);

/** A second bank is meant only where a name stands twice; a table holds what tables of its kind hold. */
function mayHold(channel: ChannelName, column: Column, dialect: Dialect): boolean {
  if (channel === column.channel) return true;
  if (dialect.headless) return !TABLE_ONLY.has(channel) && !channel.endsWith(" 2");
  if (dialect.holds !== undefined) return dialect.holds.includes(channel);
  if (TABLE_ONLY.has(channel)) return false;
  return !channel.endsWith(" 2") || dialect.columns.filter((c) => c.name === column.name).length > 1;
}

/** Columns that head the same way: another channel, another meaning, the same name and unit. */
export function rivalColumns(column: Column, dialect: Dialect): readonly Column[] {
  // Without a line of names a column may be anything that its numbers allow.
  const senses = dialect.headless
    ? LEXICON.filter((e) => e.language === "en")
    : sensesOf(column.name, column.channel);
  return senses.flatMap(({ name, channel, family }): readonly Column[] => {
    if (!mayHold(channel, column, dialect)) return [];
    if (channel === "extra") return [{ ...column, name, channel, meaning: WRITTEN }];
    const rule = ruleOf(channel, dialect.kind);
    return (MEANINGS[rule.quantity] as readonly Meaning[])
      .filter(
        (m) =>
          (family === undefined || family === m.family) &&
          (dialect.pressureReads !== "absolute" || m.family !== "gauge") &&
          (column.unit === "" || m.spellings.includes(column.unit)) &&
          (column.unit !== "" ||
            dialect.given === undefined ||
            SERVICE[channel] === undefined ||
            SERVICE[channel] === m.id),
      )
      .map((m) => ({ ...column, name, channel, meaning: m }));
  });
}

/** The barometer [Pa] that the file itself states in a column, when it has one. */
function statedBarometer(file: CorpusFile): number | undefined {
  const at = file.dialect.columns.findIndex((c) => c.channel === "barometer");
  return at < 0 ? undefined : file.truth[at]!.values.find((v) => !Number.isNaN(v));
}

function sameLines(a: readonly string[], b: readonly string[]): boolean {
  return a.length === b.length && a.every((line, i) => line === b[i]);
}

function impossibleRows(file: CorpusFile, at: number): ReadonlySet<number> {
  return new Set(file.dialect.impossible.filter((s) => s.column === at).map((s) => s.row));
}

/**
 * The numbers a column writes in a format, when that format, with one number of digits for the column, prints these very
 * texts. Holds for every meaning alike, because a meaning and its inverse cancel (a test prints whole files to see it).
 */
function writtenIn(file: CorpusFile, at: number, format: NumberFormat): Float64Array | undefined {
  const skip = impossibleRows(file, at);
  const dialect = { ...file.dialect, format };
  const column = { ...file.dialect.columns[at]!, meaning: WRITTEN };
  const texts = file.cells[at]!.map((text, i) => (skip.has(i) ? dialect.missing : text));
  const values = readCells(texts, column, dialect);
  if (values === undefined || (column.channel === "time" && dialect.clock.form !== "number")) return values;
  const digitsFit = DIGITS.some((digits) =>
    texts.every((text, i) => writeCell(values[i]!, i, { ...column, digits }, dialect) === text),
  );
  return digitsFit ? values : undefined;
}

/** Every way to read one column in one format of numbers. */
function readingsOf(file: CorpusFile, at: number, format: NumberFormat): readonly Reading[] {
  const written = writtenIn(file, at, format);
  if (written === undefined) return [];
  const own = file.dialect.columns[at]!;
  const comments = writeComments(file.dialect);
  const barometer = statedBarometer(file);
  const head = writeHeader(own, file.dialect).head;
  const clocked = own.channel === "time" && file.dialect.clock.form !== "number";
  return rivalColumns(own, file.dialect).flatMap((column): Reading[] => {
    const dialect = { ...file.dialect, format, columns: file.dialect.columns.with(at, column) };
    if (writeHeader(column, dialect).head !== head) return [];
    if (!sameLines(writeComments(dialect), comments)) return [];
    const gaugeAt = column.meaning.answer.barometer;
    if (gaugeAt !== undefined && barometer !== undefined && Math.abs(gaugeAt - barometer) > 1) return [];
    const values = clocked ? written : written.map((x) => column.meaning.toSI(x));
    const worlds = (["ordinary", "wide"] as const).filter(
      (world) =>
        isPlausible(values, column.channel, dialect, world) &&
        (world === "wide" || (column.meaning.rare === undefined && signalRises(file, column, values))),
    );
    return worlds.length === 0 ? [] : [{ column, format, values, worlds }];
  });
}

/** The signal of an ordinary meter rises with the engine's speed. */
function signalRises(file: CorpusFile, column: Column, values: Float64Array): boolean {
  if (column.channel !== "signal" || file.dialect.holds !== undefined) return true;
  const speed = file.truth.find((t) => t.channel === "engine speed");
  return speed === undefined || risesWith(values, speed.values);
}

const numeric = (c: Column): boolean => c.texts === undefined;

/** An ordinary logger writes all bare temperatures in one unit, and no channel twice under two names. */
function isOrdinary(
  reading: Reading,
  at: number,
  file: CorpusFile,
  all: readonly (readonly Reading[])[],
): boolean {
  const { column } = reading;
  const own = file.dialect.columns[at]!;
  const taken = file.dialect.columns.some(
    (c, j) => j !== at && c.channel === column.channel && c.name !== own.name && c.channel !== "extra",
  );
  if (taken && column.channel !== own.channel) return false;
  if (!column.meaning.id.startsWith("deg") && column.meaning.id !== "K") return true;
  return file.dialect.columns.every(
    (c, j) =>
      j === at ||
      !(MEANINGS.temperature as readonly Meaning[]).includes(c.meaning) ||
      all[j]!.some((r) => r.column.meaning === column.meaning && r.worlds.includes("ordinary")),
  );
}

function same(a: Reading, b: Reading): boolean {
  if (a.column.channel !== b.column.channel) return false;
  if (a.column.channel === "extra") return true;
  return a.values.every((x, i) => {
    const y = b.values[i]!;
    return Object.is(x, y) || Math.abs(x - y) <= 1e-9 * Math.max(1e-3, Math.abs(x));
  });
}

/** Readings of each column under the number formats in which every column can be read. */
export function allReadings(file: CorpusFile): readonly (readonly Reading[])[] {
  const { columns } = file.dialect;
  const found: Reading[][] = columns.map(() => []);
  for (const format of FORMATS) {
    const readings = columns.map((c, j) => (numeric(c) ? readingsOf(file, j, format) : []));
    if (columns.some((c, j) => numeric(c) && readings[j]!.length === 0)) continue;
    const ordinaryFormat = columns.every(
      (c, j) => !numeric(c) || readings[j]!.some((r) => r.worlds.includes("ordinary")),
    );
    readings.forEach((list, j) => {
      for (const reading of list) {
        const worlds =
          ordinaryFormat && isOrdinary(reading, j, file, readings) ? reading.worlds : (["wide"] as const);
        found[j]!.push({ ...reading, worlds });
      }
    });
  }
  return found;
}

function distinct(readings: readonly Reading[]): number {
  const kept: Reading[] = [];
  for (const r of readings) if (!kept.some((k) => same(k, r))) kept.push(r);
  return kept.length;
}

/** What each column of a file leaves open. Columns of text (drivers, dates) are certain. */
export function statuses(file: CorpusFile, every = allReadings(file)): readonly Status[] {
  const { columns, tells } = file.dialect;
  const twoMeters = columns.some((c) => c.channel === "airflow 2") && !tells;
  return every.map((readings, j) => {
    const column = columns[j]!;
    if (!numeric(column)) return "certain";
    // Parts of the air or the whole of it twice: without a comment both print the same bytes.
    if (twoMeters && (column.channel === "airflow" || column.channel === "airflow 2")) return "ambiguous";
    const ordinary = readings.filter((r) => r.worlds.includes("ordinary"));
    if (distinct(ordinary) > 1) return "ambiguous";
    return distinct(readings) > 1 ? "either" : "certain";
  });
}
