import {
  type AirflowTable,
  readAirflowTable,
  readThermistorTable,
  type ThermistorTable,
} from "bellmouth/document";
import { inferLogLayout, type LogMapping, readLog } from "bellmouth/drive";
import { isFault } from "bellmouth/fault";
import { decodeText, readTable } from "bellmouth/text";
import type { ChannelName } from "./channels.js";
import type { ColumnNote, Reader, ReaderRequest, ReaderResult, UsedColumn } from "./reading.js";

/**
 * The only file of the corpus that knows the reader. It hands over a file as the program would and tells what came back;
 * it corrects nothing and knows nothing of the truth.
 */
const NOTHING: ReaderResult = { rows: 0, used: [], asked: [], ignored: [], findings: [], drives: 1 };

const NAMES: Readonly<Record<string, ChannelName>> = {
  signal: "signal",
  airflow: "airflow",
  engineSpeed: "engine speed",
  lambda: "lambda",
  lambdaTarget: "lambda target",
  shortTrim: "short trim",
  longTrim: "long trim",
  coolant: "coolant",
  intakeAir: "intake air",
  manifoldPressure: "manifold pressure",
  barometer: "barometer",
  throttle: "throttle",
  vehicleSpeed: "vehicle speed",
};

/** Channels of a log, set back into rows by their times; a row is a time at which any channel has a sample. */
function readDriveLog(request: ReaderRequest): ReaderResult {
  const found = inferLogLayout(request.bytes);
  const asked = found.questions.flatMap((q): ColumnNote[] => {
    const columns = q.candidates.length > 0 ? q.candidates.map((c) => c.column) : [];
    return columns.map((column) => ({ column, text: q.question }));
  });
  const { time } = found;
  // Without a time the program stops with its questions.
  if (time === null) return { ...NOTHING, asked, refused: found.questions.map((q) => q.question).join("; ") };
  const mapping: LogMapping = { time, channels: found.channels };
  const drive = readLog(request.bytes, found.layout, mapping, { stale: "keep" });
  if (drive.rows === 0)
    return { ...NOTHING, asked, refused: drive.findings.map((f) => f.message).join("; ") };
  const times = new Set<number>();
  for (const channel of Object.values(drive.channels)) for (const t of channel.time) times.add(t);
  const rows = Float64Array.from(times).sort();
  const rowOf = new Map(Array.from(rows, (t, i) => [t, i]));
  const used = found.channels.flatMap((mapped): UsedColumn[] => {
    const samples = drive.channels[mapped.channel];
    if (samples === undefined) return [];
    const values = new Float64Array(rows.length).fill(Number.NaN);
    samples.value.forEach((value, i) => {
      values[rowOf.get(samples.time[i]!)!] = value;
    });
    return [{ channel: NAMES[mapped.channel] ?? "extra", column: mapped.column, values }];
  });
  if ("column" in time) used.push({ channel: "time", column: time.column, values: rows });
  const findings = drive.findings.map(
    (f) => `${f.channel === undefined ? "" : NAMES[f.channel]} ${f.column ?? ""} ${f.message}`,
  );
  return { ...NOTHING, rows: rows.length, used, asked, findings };
}

const column = (channel: ChannelName, key: string, values: readonly number[]): UsedColumn => ({
  channel,
  column: key,
  values: Float64Array.from(values),
});

/** Tables are read by the names that their readers want; a column's key is then the name that was asked for. */
function readCarTable(request: ReaderRequest): ReaderResult {
  const text = decodeText(request.bytes, request.file);
  const options = { file: request.file };
  const used = ((): UsedColumn[] => {
    switch (request.kind) {
      case "airflow table": {
        const table: AirflowTable = readAirflowTable(text, request.signal, options);
        return [column("signal", "signal", table.signal), column("airflow", "airflow", table.flow)];
      }
      case "element": {
        const table: ThermistorTable = readThermistorTable(text, options);
        return [
          column("temperature", "temperature", table.temperature),
          column("resistance", "resistance", table.resistance),
        ];
      }
      case "axis": {
        const dimensions = [request.signal === "frequency" ? "frequency" : "voltage"] as const;
        const table = readTable(text, [{ name: "signal", dimensions }], options);
        return [column("signal", "signal", table.columns["signal"]!.values)];
      }
      default:
        return [];
    }
  })();
  return {
    ...NOTHING,
    rows: used[0]?.values.length ?? 0,
    used,
    ...(used.length === 0 ? { refused: `no reader of files of the kind "${request.kind}"` } : {}),
  };
}

export const theReader: Reader = (request) => {
  try {
    const isLog = request.kind === "log" || request.kind === "pull";
    return isLog ? readDriveLog(request) : readCarTable(request);
  } catch (error) {
    if (!isFault(error)) return { ...NOTHING, crashed: String(error) };
    return { ...NOTHING, refused: error.message };
  }
};
