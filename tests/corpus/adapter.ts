import {
  type ColumnsRead,
  channelKey,
  type PlacedChannel,
  type PlacedColumn,
  readColumns,
} from "bellmouth/columns";
import {
  type AirflowTable,
  givenColumns,
  readAirflowTable,
  readThermistorTable,
  type ThermistorTable,
} from "bellmouth/document";
import {
  forEachBlock,
  type LoggedDrive,
  type LogMapping,
  logMapping,
  readDrives,
  readLog,
} from "bellmouth/drive";
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

const KEYS: Readonly<Partial<Record<ChannelName, string>>> = Object.fromEntries(
  Object.entries(NAMES).map(([channel, name]) => [name, channelKey(channel)]),
);
const UNITS: Readonly<Record<string, string>> = { afr: "AFR" };
const FORMS: Readonly<Record<string, string>> = { percent: "%", "factor in percent": "% of 100" };

/** The answers of the person as a `columns` block. */
function blockOf(
  { answers, given, airParts }: ReaderRequest,
  names: readonly string[],
): { readonly [key: string]: unknown } {
  const block: { [key: string]: unknown } = given === undefined ? {} : { units: "service-data" };
  const ignore: (string | number)[] = [];
  const refOf = (index: number): string | number =>
    names.filter((name) => name === names[index]).length === 1 && !/^\d+$/u.test(names[index] ?? "")
      ? (names[index] as string)
      : index + 1;
  // The person names the first bank's column first.
  const inOrder = [...answers].sort(
    (a, b) => Number(a.channel.endsWith(" 2")) - Number(b.channel.endsWith(" 2")),
  );
  for (const { column, channel, meaning, role } of inOrder) {
    const ref = refOf(column);
    if (role === "split") block["split"] = ref;
    else if (
      role === "date" ||
      (KEYS[channel] === undefined && !channel.endsWith(" 2") && channel !== "time")
    )
      ignore.push(ref);
    else {
      const { unit, scale, form, barometer } = meaning.answer;
      const spelled =
        form !== undefined ? (FORMS[form] ?? form) : unit === undefined ? undefined : (UNITS[unit] ?? unit);
      if (channel === "time") {
        block["time"] = { column: ref, ...(spelled === undefined ? {} : { unit: spelled }) };
        continue;
      }
      const key = KEYS[channel.replace(/ 2$/u, "") as ChannelName] as string;
      const before = block[key] as
        | {
            readonly column?: string | number;
            readonly columns?: readonly (string | number)[];
            readonly unit?: string | readonly string[];
          }
        | undefined;
      const columns =
        before === undefined ? undefined : [...(before.columns ?? [before.column as string | number]), ref];
      block[key] = {
        ...(columns === undefined
          ? { column: ref }
          : { columns, combine: key === "airflow" && airParts === true ? "sum" : "mean" }),
        ...(spelled === undefined
          ? {}
          : { unit: before?.unit === undefined ? spelled : [before.unit, spelled].flat() }),
        ...(unit === "afr" && scale !== undefined ? { stoichiometric: scale } : {}),
        ...(unit === "counts" && scale !== undefined ? { scale: `${scale} V / 1` } : {}),
        ...(barometer === undefined ? {} : { barometer: `${barometer} Pa absolute` }),
      };
    }
  }
  return { ...block, ...(ignore.length > 0 ? { ignore } : {}) };
}

/** Every column of the log as it is used, one value a row; two banks as their own columns. */
function readDriveLog(request: ReaderRequest): ReaderResult {
  const names = readColumns(request.bytes, undefined, { whole: true }).layout.columns.map(({ name }) => name);
  const given = { ...givenColumns(blockOf(request, names)), pressureReads: request.pressureReads };
  const found = readColumns(request.bytes, given, { whole: true });
  // A missing long trim is asked for, and is no column of the file.
  const asked = found.questions
    .filter(({ kind }) => kind !== "long trim")
    .flatMap((q): ColumnNote[] => q.columns.map(({ number }) => ({ column: number - 1, text: q.text })));
  const ignored = found.columns.flatMap(({ use, number, reason }): ColumnNote[] =>
    use === "ignored" ? [{ column: number - 1, text: reason }] : [],
  );
  const untimed = (channels: readonly PlacedChannel[]): LoggedDrive =>
    readLog(
      request.bytes,
      found.layout,
      logMapping({ ...found, channels, split: null, time: { kind: "untimed", how: "" } }) as LogMapping,
      { stale: "keep" },
    );
  // All columns together, as the program reads them; the second bank's in the first one's place.
  const banks = [0, 1].map((i) =>
    untimed(
      found.channels.map((placed) => ({
        ...placed,
        columns: [placed.columns[i] ?? (placed.columns[0] as PlacedColumn)],
        combine: "one",
      })),
    ),
  );
  const first = banks[0] as LoggedDrive;
  const findings = banks.flatMap(({ findings: all }) =>
    all.map(
      (f) =>
        `${f.channel === undefined ? "" : (NAMES[f.channel] ?? f.channel)} ${f.column ?? ""} ${f.message}`,
    ),
  );
  const { rows } = first;
  const used = found.channels.flatMap((placed): UsedColumn[] =>
    placed.columns.flatMap((one, i): UsedColumn[] => {
      const values = banks[i]?.channels[placed.channel]?.value;
      const name = NAMES[placed.channel] ?? "extra";
      const second = i === 1 || (placed.columns.length === 1 && one.bank === 2);
      return values === undefined
        ? []
        : [{ channel: (second ? `${name} 2` : name) as ChannelName, column: one.column, values }];
    }),
  );
  const timed = timesOf(request.bytes, found);
  if (timed !== null) used.push(timed);
  const drives =
    found.split === null || found.time === null
      ? 1
      : readDrives(request.bytes, found.layout, logMapping(found) as LogMapping).length;
  if (found.channels.length === 0 && asked.length === 0)
    return { ...NOTHING, asked, ignored, refused: "no column is named after a channel" };
  return { rows, used, asked, ignored, findings, drives };
}

/** Time of each row since the first. */
function timesOf(bytes: Uint8Array, { time, layout }: ColumnsRead): UsedColumn | null {
  if (time === null || time.kind === "untimed") return null;
  const stamps: number[] = [];
  if (time.kind === "pace") {
    const { rows } = forEachBlock(
      bytes,
      layout,
      layout.columns.map((_, i) => i),
      () => {},
    );
    for (let i = 0; i < rows; i++) stamps.push(i * time.every);
    return { channel: "time", column: -1, values: Float64Array.from(stamps) };
  }
  const clock = time.kind === "clock";
  const others = layout.columns.map((_, i) => i).filter((i) => i !== time.column);
  if (time.kind === "column" && time.cells !== undefined) {
    // As a speed scaled down, so that no stamp is beyond what the channel can read.
    const drive = readLog(bytes, layout, {
      time: { untimed: true },
      channels: [
        {
          channel: "vehicleSpeed",
          column: time.column,
          cells: time.cells,
          scale: { factor: time.factor * 2 ** -40, offset: 0 },
        },
      ],
    });
    for (const value of drive.channels.vehicleSpeed?.value ?? []) stamps.push(value * 2 ** 40);
  } else
    forEachBlock(
      bytes,
      layout,
      [clock ? { clock: time.column } : time.column, ...others],
      ({ rows, values }) => {
        for (let i = 0; i < rows; i++) stamps.push((values[0]?.[i] as number) * (clock ? 1 : time.factor));
      },
    );
  const first = stamps.find((stamp) => !Number.isNaN(stamp)) ?? 0;
  let days = 0;
  const values = Float64Array.from(stamps, (stamp, i) => {
    if (time.kind === "clock" && i > 0 && stamp < (stamps[i - 1] as number) - 43_200) days += 86_400;
    return stamp - first + days;
  });
  return { channel: "time", column: time.column, values };
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
