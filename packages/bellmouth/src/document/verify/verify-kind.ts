import type * as z from "zod";
import { type LoggedChannel, readLog } from "../../drive/index.js";
import { BellmouthError } from "../../fault/index.js";
import { buildColumns, columnsBlock } from "../columns-block.js";
import { type BuildContext, type DocumentKind, defineDocument } from "../document.js";
import { block, choiceField, fileField, textLineField } from "../fields.js";
import { headerField } from "../header-field.js";
import { type LogReading, openLog, readingOf } from "../log-columns.js";
import { type AirflowTable, readMeterTable } from "../sensor-tables.js";

/** A table that was typed in, and a log of the drive after it: SI. */
export interface VerifyDocument {
  readonly kind: "verify";
  readonly title: string;
  readonly file: string;
  /** As it was meant to be typed in. */
  readonly table: AirflowTable;
  /** What stood in the ECU before; null when not given. */
  readonly former: AirflowTable | null;
  readonly outside: "hold" | "extend";
  readonly signal: LoggedChannel;
  readonly airflow: LoggedChannel;
  readonly reading: LogReading;
}

const signalKind = () =>
  choiceField(["frequency", "voltage"], "What the sensor puts out: frequency [Hz] or voltage [V].");

const verifySchema = () =>
  block({
    bellmouth: headerField("verify", 1),
    title: textLineField("What is verified."),
    table: fileField(
      "The table that was meant to be typed in, with its values as typed: signal [Hz or V] and airflow [g/s, …].",
      "airflow-table.csv",
    ),
    signal: signalKind(),
    former: fileField(
      "The table that stood in the ECU before: cells that still have its value are named.",
      "present-airflow.csv",
    ).optional(),
    outside: choiceField(
      ["hold", "extend"],
      "What the ECU is taken to do past the table's ends: hold the end value, or carry the end segment on.",
    ),
    log: fileField(
      "A log of a drive with that table: signal and airflow as the ECU reports them.",
      "first.csv",
    ),
    columns: columnsBlock("What the log does not say itself.").optional(),
  }).meta({ title: "verify" });

/** `bellmouth: verify 1`, a table held against a log of the drive after it was typed in. */
export const verifyDocument: DocumentKind<VerifyDocument> = defineDocument({
  name: "verify",
  version: 1,
  about: "A typed table held against a log: which cells the ECU executes otherwise.",
  schema: verifySchema,
  build: buildVerify,
});

function buildVerify(
  raw: z.output<ReturnType<typeof verifySchema>>,
  context: BuildContext,
): VerifyDocument | undefined {
  const tableOf = (path: string, name: string): AirflowTable | undefined =>
    context.attempt(path, () =>
      readMeterTable(context.open(name), raw.signal, { file: context.nameOf(name) }),
    );
  const table = tableOf("table", raw.table);
  const former = raw.former === undefined ? null : tableOf("former", raw.former);
  const given = buildColumns(raw.columns, "columns", context);
  if (given === undefined) return undefined;
  const log = context.attempt("log", () => {
    const file = context.nameOf(raw.log);
    const text = context.open(raw.log);
    const opened = openLog(text, given, file, ["signal", "airflow"], { whole: true, trims: false });
    // Past the end of a table that holds its end value the airflow stands still while the signal moves.
    const drive = readLog(text, opened.read.layout, opened.mapping, { name: file, stale: "keep" });
    const { signal, airflow } = drive.channels;
    if (signal !== undefined && airflow !== undefined)
      return { signal, airflow, reading: readingOf(opened, raw.log, drive) };
    throw new BellmouthError({
      code: "E_COLUMN",
      message: `this log has no ${signal === undefined ? "signal of the air meter" : "airflow as the ECU reports it"}`,
      found: opened.read.columns
        .slice(0, 16)
        .map((column) => `"${column.name.slice(0, 40)}"`)
        .join(", "),
      accepted: "columns of both: the table is what lies between them",
      at: { file },
    });
  });
  if (table === undefined || former === undefined || log === undefined) return undefined;
  return { kind: "verify", title: raw.title, file: raw.table, table, former, outside: raw.outside, ...log };
}
