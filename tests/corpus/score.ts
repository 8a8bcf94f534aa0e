import type { Status } from "./ambiguity.js";
import { statuses } from "./ambiguity.js";
import type { FileKind } from "./cars.js";
import { type CorpusFile, sinceGroupStart } from "./file.js";
import { writeHeader, writeName } from "./print.js";
import type { Answer, ColumnKey, Reader, ReaderRequest, ReaderResult, UsedColumn } from "./reading.js";

/** What became of one column. */
export type Outcome =
  | "right" // used as the truth says, every value to its last digit
  | "asked rightly"
  | "needless question"
  | "wrong value" // used as another channel or with other values
  | "guessed" // used without a question though the file leaves it open
  | "told but dropped" // a channel that is certain, listed as ignored with a reason
  | "silent drop" // neither used, asked nor ignored
  | "ignored rightly" // no channel, and listed so
  | "refused" // the whole file refused though it is a log
  | "crash";

export interface ColumnScore {
  readonly file: string;
  readonly column: string;
  readonly channel: string;
  readonly status: Status;
  readonly outcome: Outcome;
  /** What was seen, for a person who looks into it. */
  readonly detail: string;
}

const header = (file: CorpusFile, at: number): string =>
  writeHeader(file.dialect.columns[at]!, file.dialect).head;

function isColumn(key: ColumnKey, file: CorpusFile, at: number): boolean {
  if (typeof key === "number") return key === at;
  const said = key.trim().toLowerCase();
  const own = file.dialect.columns[at]!;
  const names = [
    header(file, at),
    writeName(own.name, file.dialect.nameStyle),
    `${header(file, at)} [${own.unit}]`,
  ];
  return names.some((name) => name.trim().toLowerCase() === said);
}

/** Largest difference that a last digit in floating point explains: 1e-9 of the value; for stamps of today 1 us. */
function close(a: number, b: number, channel: string): boolean {
  if (channel === "time") return Math.abs(a - b) <= 2e-6;
  return Math.abs(a - b) <= 1e-9 * Math.max(Math.abs(a), Math.abs(b)) + 1e-12;
}

/** Rows of the truth that the reader may leave out or give once: identical pairs, a last line that is cut. */
function comparable(file: CorpusFile, truth: Float64Array, rows: number): Float64Array | undefined {
  if (rows === truth.length) return truth;
  if (file.dialect.pairs && rows === truth.length / 2) return truth.filter((_, i) => i % 2 === 0);
  if (file.dialect.cut && rows === truth.length - 1) return truth.slice(0, -1);
  return undefined;
}

/** A table may be handed back from its other end, all columns alike; a log may not. */
function isTurned(file: CorpusFile, result: ReaderResult): boolean {
  const first = result.used[0];
  const at = file.dialect.columns.findIndex((_, j) => first !== undefined && isColumn(first.column, file, j));
  if (file.dialect.holds === undefined || first === undefined || at < 0) return false;
  const { values, channel } = file.truth[at]!;
  return close(values.at(-1)!, first.values[0]!, channel) && !close(values[0]!, first.values[0]!, channel);
}

/** Two air meters add up or are averaged: which is the first matters only where a name says it. */
const isUnnumberedMeter = (file: CorpusFile, at: number, used: UsedColumn): boolean =>
  file.truth[at]!.channel.startsWith("airflow") &&
  used.channel.startsWith("airflow") &&
  !file.dialect.columns.some(({ name, channel }) => channel.startsWith("airflow") && /[12]/.test(name));

/** What is wrong with a column that was used; nothing when it is right. */
function faultOf(file: CorpusFile, at: number, used: UsedColumn, result: ReaderResult): string | undefined {
  const { channel, values } = file.truth[at]!;
  if (used.channel !== channel && !isUnnumberedMeter(file, at, used)) return `read as ${used.channel}`;
  const inOrder = isTurned(file, result) ? values.toReversed() : values;
  const whole = comparable(file, inOrder, used.values.length);
  if (whole === undefined) return `${used.values.length} rows for ${values.length}`;
  // Where drives are told apart, each may count its time from its own start.
  const groups = file.dialect.columns.find((c) => c.role === "split")?.texts;
  const perDrive = channel === "time" && groups?.length === whole.length;
  const truth = perDrive ? sinceGroupStart(whole, groups) : whole;
  const read = perDrive ? sinceGroupStart(used.values, groups) : used.values;
  let lost = 0;
  for (let i = 0; i < truth.length; i++) {
    const [t, v] = [truth[i]!, read[i]!];
    if (Number.isNaN(t) && !Number.isNaN(v)) return `row ${i}: ${v} where the file has no value`;
    if (Number.isNaN(t)) continue;
    if (Number.isNaN(v)) lost++;
    else if (!close(t, v, channel)) return `row ${i}: ${v} for ${t}`;
  }
  if (lost === 0) return undefined;
  // Samples set missing for a reason are told; a column may not thin out in silence.
  const told = result.findings.some((f) => f.includes(channel) || f.includes(header(file, at)));
  return told && lost < truth.length ? undefined : `${lost} values lost`;
}

function scoreColumn(file: CorpusFile, at: number, status: Status, result: ReaderResult): [Outcome, string] {
  if (result.crashed !== undefined) return ["crash", result.crashed];
  const column = file.dialect.columns[at]!;
  const asked = result.asked.find((a) => isColumn(a.column, file, at));
  const used = result.used.filter((u) => isColumn(u.column, file, at));
  const ignored = result.ignored.find((n) => isColumn(n.column, file, at));
  if (column.role === "split") {
    if (used.length === 0 && (asked !== undefined || result.drives === file.drives)) return ["right", ""];
    return ignored === undefined ? ["silent drop", "drives joined"] : ["told but dropped", ignored.text];
  }
  if (column.role === "date") return asked === undefined ? ["right", ""] : ["needless question", asked.text];
  if (asked !== undefined) {
    const outcome =
      status === "certain" || column.channel === "extra" ? "needless question" : "asked rightly";
    return [outcome, asked.text];
  }
  if (used.length > 0) {
    if (column.channel === "extra") return ["wrong value", `no channel, read as ${used[0]!.channel}`];
    if (status === "ambiguous") return ["guessed", `read as ${used[0]!.channel}`];
    const fault = used.map((u) => faultOf(file, at, u, result)).find((f) => f !== undefined);
    return fault === undefined ? ["right", ""] : ["wrong value", fault];
  }
  // Without names, "which column is what?" is one question about the file.
  if (result.refused !== undefined && file.dialect.headless) return ["asked rightly", result.refused];
  if (result.refused !== undefined) return ["refused", result.refused];
  if (ignored !== undefined)
    return column.channel === "extra" ? ["ignored rightly", ""] : ["told but dropped", ignored.text];
  return ["silent drop", ""];
}

/** Scores one reading of a file, column by column. */
export function scoreReading(
  file: CorpusFile,
  result: ReaderResult,
  status = statuses(file),
): readonly ColumnScore[] {
  const columns = file.dialect.columns.map((column, at): ColumnScore => {
    const [outcome, detail] = scoreColumn(file, at, status[at]!, result);
    return {
      file: file.name,
      column: header(file, at),
      channel: column.channel,
      status: status[at]!,
      outcome,
      detail,
    };
  });
  return file.dialect.pace?.told ? [...columns, scorePace(file, file.dialect.pace.step, result)] : columns;
}

/** Rows without a time whose pace the file tells: the time is the row's number times the step. */
function scorePace(file: CorpusFile, step: number, result: ReaderResult): ColumnScore {
  const time = result.used.find((u) => u.channel === "time");
  const wrong = time?.values.findIndex((t, i) => !close(t, i * step, "time"));
  const outcome = time === undefined ? "silent drop" : wrong === -1 ? "right" : "wrong value";
  return { file: file.name, column: "(pace told)", channel: "time", status: "certain", outcome, detail: "" };
}

/** What a person who knows the file answers about its channels. */
export function answersFor(file: CorpusFile): readonly Answer[] {
  return file.dialect.columns.map((column, at) => ({
    column: at,
    header: header(file, at),
    channel: column.channel,
    meaning: column.meaning,
    role: column.role,
  }));
}

export function requestFor(file: CorpusFile, kind: FileKind, answers: readonly Answer[] = []): ReaderRequest {
  const { dialect } = file;
  const twoMeters = dialect.columns.some((c) => c.channel === "airflow 2");
  return {
    file: `${file.name}.csv`,
    bytes: file.bytes,
    kind,
    signal: dialect.kind,
    given: dialect.given,
    pressureReads: dialect.pressureReads,
    airParts: twoMeters && answers.length > 0 ? dialect.airParts : undefined,
    answers,
  };
}

/**
 * The second reading: every question of the first is answered. Nothing may be asked any more about a channel, and what
 * was open is now right.
 */
export function scoreAnswered(file: CorpusFile, kind: FileKind, reader: Reader): readonly ColumnScore[] {
  const first = reader(requestFor(file, kind));
  if (first.asked.length === 0) return [];
  const answers = answersFor(file).filter((a) => first.asked.some((q) => isColumn(q.column, file, a.column)));
  const second = reader(requestFor(file, kind, answers));
  return scoreReading(
    file,
    second,
    file.dialect.columns.map(() => "certain"),
  );
}

export type Totals = Readonly<Record<Outcome, number>> & {
  readonly columns: number;
  readonly files: number;
  readonly filesRight: number;
};

const GOOD: ReadonlySet<Outcome> = new Set(["right", "asked rightly", "ignored rightly"]);

export function totals(scores: readonly (readonly ColumnScore[])[]): Totals {
  const count: Record<Outcome, number> = {
    right: 0,
    "asked rightly": 0,
    "needless question": 0,
    "wrong value": 0,
    guessed: 0,
    "told but dropped": 0,
    "silent drop": 0,
    "ignored rightly": 0,
    refused: 0,
    crash: 0,
  };
  for (const { outcome } of scores.flat()) count[outcome]++;
  const filesRight = scores.filter((file) => file.every(({ outcome }) => GOOD.has(outcome))).length;
  return { ...count, columns: scores.flat().length, files: scores.length, filesRight };
}
