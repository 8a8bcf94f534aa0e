import type { RefineDocument } from "../../document/index.js";
import { channelWords } from "../../document/index.js";
import {
  type InferredLog,
  inferLogLayout,
  type LogChannel,
  type LogMapping,
  type LogTime,
} from "../../drive/index.js";
import { BellmouthError } from "../../fault/index.js";
import { compileFormula } from "../../text/index.js";

/** How a log was read, for people: `lambda: column "Lambda", in 1`. */
export interface ReadAs {
  readonly channel: string;
  readonly from: string;
}

export interface ChosenMapping {
  readonly inferred: InferredLog;
  readonly mapping: LogMapping;
  readonly readAs: readonly ReadAs[];
}

/**
 * Layout and mapping of a log: the document's columns, or the log's own header where it leaves no doubt.
 *
 * @param sample the log's beginning
 * @param name   for messages
 * @throws `E_COLUMN` when the columns are in doubt and the document does not say
 */
export function chooseMapping(
  document: Pick<RefineDocument, "columns" | "untimed">,
  sample: Uint8Array | string,
  name: string,
): ChosenMapping {
  const inferred = inferLogLayout(sample);
  const { columns, untimed } = document;
  const time = timeOf(columns?.time ?? null, untimed, inferred, name);
  if (columns === null) {
    if (inferred.channels.length === 0 || askedFor(inferred)) throw inDoubt(inferred, name);
    return {
      inferred,
      mapping: { time, channels: inferred.channels },
      readAs: [
        timeWords(time),
        ...inferred.channels.map(({ channel, column, unit }) => ({
          channel,
          from: `column ${typeof column === "number" ? `"${inferred.layout.columns[column]?.name ?? column}"` : `"${column}"`}${unit === undefined ? "" : ` in ${unit}`}, by the log's header`,
        })),
      ],
    };
  }
  const entries = Object.entries(columns.channels) as [
    LogChannel,
    NonNullable<(typeof columns.channels)[LogChannel]>,
  ][];
  return {
    inferred,
    mapping: {
      time,
      channels: entries.map(([channel, source]) => {
        if ("column" in source) return { channel, column: source.column, unit: source.unit };
        const names = Object.keys(source.names);
        const formula = compileFormula(source.formula, names);
        const order = formula.uses.map((used) => names.indexOf(used));
        return {
          channel,
          from: names.map((used) => source.names[used] as string),
          evaluate: (values: readonly number[]) => formula.evaluate(order.map((k) => values[k] as number)),
        };
      }),
    },
    readAs: [
      timeWords(time),
      ...entries.map(([channel, source]) => ({
        channel,
        from:
          "column" in source
            ? `column "${source.column}" in ${source.unit}`
            : `${source.formula} with ${Object.entries(source.names)
                .map(([used, column]) => `${used} = "${column}"`)
                .join(", ")}`,
      })),
    ],
  };
}

function timeOf(
  given: NonNullable<RefineDocument["columns"]>["time"],
  untimed: boolean,
  inferred: InferredLog,
  name: string,
): LogTime {
  if (untimed) return { untimed: true };
  if (given !== null)
    return "clock" in given
      ? { column: given.column, format: "clock" }
      : { column: given.column, unit: given.unit };
  if (inferred.time !== null) return inferred.time;
  const question = inferred.questions.find(({ about }) => about === "time")?.question;
  throw new BellmouthError({
    code: "E_COLUMN",
    message: `the rows' time is in doubt${question === undefined ? "" : `: ${channelWords(question)}`}`,
    found: headerOf(inferred),
    accepted:
      "a block 'columns' in the document with 'time: Time [s]' (the column's name and its unit), or 'rows: untimed'",
    at: { file: name },
  });
}

const timeWords = (time: LogTime): ReadAs => ({
  channel: "time",
  from:
    "untimed" in time
      ? "none: rows are taken on their own"
      : "rowPeriod" in time
        ? `a row every ${time.rowPeriod} s`
        : `column "${time.column}"${"unit" in time ? ` in ${time.unit}` : ", time of day"}`,
});

/** True when a column that nothing can be said without may be there, and only the log's owner knows which. */
function askedFor({ channels, questions }: InferredLog): boolean {
  const without = (...needed: readonly LogChannel[]): boolean =>
    !channels.some(({ channel }) => needed.includes(channel)) &&
    questions.some(({ about }) => needed.some((one) => one === about));
  return without("signal", "airflow") || without("lambda", "shortTrim");
}

const headerOf = ({ layout }: InferredLog): string =>
  layout.columns
    .slice(0, 16)
    .map((column) => `"${column.name.slice(0, 40)}"`)
    .join(", ");

function inDoubt(inferred: InferredLog, name: string): BellmouthError {
  const questions = inferred.questions.slice(0, 6).map(({ question }) => channelWords(question));
  return new BellmouthError({
    code: "E_COLUMN",
    message: `the log's header does not say beyond doubt which columns are which${questions.length === 0 ? "" : `: ${questions.join(" ")}`}`,
    found: headerOf(inferred),
    accepted:
      "a block 'columns' in the document that places each column with its unit, as in 'signal: MAF [Hz]'",
    at: { file: name },
  });
}
