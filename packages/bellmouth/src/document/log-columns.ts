import {
  type ColumnQuestion,
  type ColumnsRead,
  type ColumnUse,
  channelName,
  type GivenColumns,
  readColumns,
} from "../columns/index.js";
import { type CompileFormula, type LogFinding, type LogMapping, logMapping } from "../drive/index.js";
import { BellmouthError, faultDetails, isFault } from "../fault/index.js";
import { compileFormula, questionText } from "../text/index.js";

/** How one log was read: what became of each of its columns, what is still asked, what was found. Plain data. */
export interface LogReading {
  readonly name: string;
  readonly rows: number;
  /** False for rows that stand on their own. */
  readonly timed: boolean;
  /** Where the time of rows comes from, in words. */
  readonly time: string;
  readonly columns: readonly ColumnUse[];
  /** Asked about channels that this command can do without. */
  readonly questions: readonly ColumnQuestion[];
  /** Lines of the file's own comments that were used. */
  readonly said: readonly string[];
  readonly findings: readonly LogFinding[];
}

export interface OpenedLog {
  readonly read: ColumnsRead;
  readonly mapping: LogMapping;
}

/** Most questions of one file that a message prints in full. */
const MOST_QUESTIONS = 40;

/**
 * One fault for all that must be answered before a file can be read.
 *
 * @throws never; it returns the `E_COLUMN` that lists every question
 */
export function askedFault(
  questions: readonly ColumnQuestion[],
  name: string,
  columns: readonly ColumnUse[],
): BellmouthError {
  const units = questions.filter(({ kind }) => kind === "unit").length;
  const hint =
    units > 1
      ? "\n    Units of service data (SAE J1979) answer every question about a missing unit at once:\n      columns: service-data units"
      : "";
  return new BellmouthError({
    code: "E_COLUMN",
    message: `${questions.length === 1 ? "one question" : `${questions.length} questions`} about the columns of this file; one line of each, below 'columns:', answers ${questions.length === 1 ? "it" : "them"}:\n${questions.slice(0, MOST_QUESTIONS).map(questionText).join("\n")}${hint}\n   `,
    found: columns
      .slice(0, 16)
      .map((column) => `"${column.name.slice(0, 40)}"`)
      .join(", "),
    accepted: "a block 'columns' with these lines",
    at: { file: name },
    questions,
  });
}

/** Every channel, for readers that can use any. */
export const ANY_CHANNEL = "any";

/**
 * Columns and mapping of a log. What leaves two readings is asked: all of it as one fault, when it concerns a channel in `needs`.
 *
 * @param needs channels that the command reads, or every one; questions about others are told with the result
 * @throws `E_COLUMN` with `questions`; faults of `readColumns`, placed in the file
 */
export function openLog(
  sample: Uint8Array | string,
  given: GivenColumns,
  name: string,
  needs: readonly string[] | typeof ANY_CHANNEL,
  options: { readonly whole: boolean; readonly trims?: boolean },
): OpenedLog {
  const read = placed(name, () => readColumns(sample, given, options));
  if (read.channels.length === 0 && read.questions.every(({ about }) => about === "time"))
    throw noChannel(name, read.columns);
  const needed = (about: string): boolean =>
    needs === ANY_CHANNEL ||
    about === "time" ||
    about === "split" ||
    about === "names" ||
    needs.includes(about);
  const stopping = read.questions.filter(({ about }) => needed(about));
  if (stopping.length > 0) throw askedFault(read.questions, name, read.columns);
  const mapping = logMapping(read, compile);
  if (mapping === null) throw askedFault(read.questions, name, read.columns);
  return { read, mapping };
}

const noChannel = (name: string, columns: readonly ColumnUse[]): BellmouthError =>
  new BellmouthError({
    code: "E_COLUMN",
    message: "no column of this file is named after a channel that is known",
    found: columns
      .slice(0, 16)
      .map((column) => `"${column.name.slice(0, 40)}"`)
      .join(", "),
    accepted: "a block 'columns' that places them, as in 'signal: MAF [Hz]'",
    at: { file: name },
  });

const compile: CompileFormula = (text, names) => {
  const formula = compileFormula(text, names);
  const order = formula.uses.map((used) => names.indexOf(used));
  return (values) => formula.evaluate(order.map((k) => values[k] as number));
};

/** Faults of a file's reading say which file. */
function placed<T>(name: string, read: () => T): T {
  try {
    return read();
  } catch (error) {
    if (!isFault(error) || error.at?.file !== undefined) throw error;
    throw new BellmouthError({ ...faultDetails(error), at: { file: name, ...error.at } });
  }
}

/**
 * The reading of a log, for the result that it becomes part of.
 *
 * @param log what was read; its rows are counted [1]
 */
export function readingOf(
  { read }: OpenedLog,
  name: string,
  log: { readonly rows: number; readonly findings: readonly LogFinding[] },
): LogReading {
  const { time } = read;
  const column =
    time !== null && "column" in time ? `column "${read.layout.columns[time.column]?.name}", ` : "";
  return {
    name,
    rows: log.rows,
    timed: time?.kind !== "untimed",
    time: `${column}${time?.how ?? ""}`,
    columns: read.columns,
    questions: read.questions,
    said: read.said,
    findings: log.findings,
  };
}

/** One line for each column: what it is read as, asked, or why it is not used. */
export const columnLine = ({ name, use, channel, reason }: ColumnUse): string =>
  use === "used"
    ? `"${name}": ${channel === null ? "" : `${channelName(channel)}, `}${reason}`
    : use === "asked"
      ? `"${name}": asked: ${reason}`
      : `"${name}": not used: ${reason}`;
