import {
  type ColumnQuestion,
  type ColumnsRead,
  channelKey,
  type GivenChannel,
  type GivenTable,
  type PlacedChannel,
  type PlacedColumn,
  readColumns,
  readTableColumns,
} from "bellmouth/columns";
import { givenColumns } from "bellmouth/document";
import {
  forEachBlock,
  type LoggedDrive,
  type LogMapping,
  logMapping,
  readDrives,
  readLog,
} from "bellmouth/drive";
import { isFault } from "bellmouth/fault";
import { type ColumnSpec, decodeText, readTable } from "bellmouth/text";
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
  const given = {
    ...givenColumns(blockOf(request, names)),
    pressureReads: request.pressureReads,
    // Rows of a table of runs have no time.
    ...(request.kind === "runs" ? { untimed: true } : {}),
  };
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

/** Columns that a table of each kind is read for, as the documents ask for them, and the corpus's name of each. */
function specsOf({
  kind,
  signal,
}: ReaderRequest): readonly (ColumnSpec & { readonly channel: ChannelName })[] {
  switch (kind) {
    case "airflow table":
      return [
        { channel: "signal", name: "signal", dimensions: ["frequency", "voltage"], holds: "signal" },
        { channel: "airflow", name: "airflow", dimensions: ["mass flow"], holds: "airflow" },
      ];
    case "element":
      return [
        { channel: "temperature", name: "temperature", dimensions: ["temperature"], holds: "temperature" },
        { channel: "resistance", name: "resistance", dimensions: ["resistance"], holds: "resistance" },
      ];
    case "temperature table":
      return [
        { channel: "input voltage", name: "input", dimensions: ["voltage"], holds: "input" },
        { channel: "temperature", name: "temperature", dimensions: ["temperature"], holds: "temperature" },
      ];
    case "axis":
      return [{ channel: "signal", name: "breakpoint", dimensions: [signal], holds: "breakpoint" }];
    default:
      return [
        {
          channel: "airflow",
          name: "flow",
          aliases: ["airflow"],
          dimensions: ["mass flow"],
          holds: "airflow",
        },
        // The document of the readings has these names of its parts.
        ...["snorkel", "filter box", "meter"].map((name) => ({
          channel: "pressure drop" as const,
          name,
          dimensions: ["pressure difference", "pressure"] as const,
        })),
      ];
  }
}

/** The answers of the person, by the names of the columns that are read. */
function givenTable(
  { answers, signal }: ReaderRequest,
  specs: ReturnType<typeof specsOf>,
): GivenTable | undefined {
  if (answers.length === 0) return undefined;
  const unit = signal === "frequency" ? "Hz" : "V";
  return {
    columns: Object.fromEntries(
      answers.flatMap(({ column, header, channel, meaning }): [string, GivenChannel][] => {
        const spec =
          specs.find((one) => one.channel === channel && channel !== "pressure drop") ??
          specs.find(({ name }) =>
            header
              .toLowerCase()
              .replace(/[^a-z]/gu, "")
              .startsWith(name.replace(" ", "")),
          );
        const { unit: said, scale } = meaning.answer;
        return spec === undefined
          ? []
          : [
              [
                spec.name,
                {
                  columns: [column + 1],
                  ...(said === undefined ? {} : { unit: said }),
                  ...(scale === undefined ? {} : { perCount: { value: scale, unit } }),
                },
              ],
            ];
      }),
    ),
  };
}

/** A table as the documents read it. */
function readCarTable(request: ReaderRequest): ReaderResult {
  const text = decodeText(request.bytes, request.file);
  const specs = specsOf(request);
  try {
    return tableAs(text, specs, request);
  } catch (error) {
    if (!isFault(error) || error.questions === undefined) throw error;
    const asked = error.questions as readonly (Omit<ColumnQuestion, "about"> & { readonly about: string })[];
    const rest = specs.filter(({ name }) => !asked.some(({ about }) => about === name));
    const ignore = asked.flatMap(({ columns }) => columns.map(({ number }) => number));
    const named = readTableColumns(text, [], { columns: {}, ignore }).columns;
    const others =
      rest.length > 0
        ? tableAs(text, rest, request, ignore)
        : {
            ...NOTHING,
            ignored: named.map(({ number, reason }) => ({ column: number - 1, text: reason })),
          };
    return {
      ...others,
      asked: asked.flatMap((q) => q.columns.map(({ number }) => ({ column: number - 1, text: q.text }))),
    };
  }
}

function tableAs(
  text: string,
  specs: ReturnType<typeof specsOf>,
  request: ReaderRequest,
  ignore?: readonly number[],
): ReaderResult {
  const given = ignore === undefined ? givenTable(request, specs) : { columns: {}, ignore };
  const table = readTable(text, specs, { file: request.file, given });
  return {
    ...NOTHING,
    rows: table.rows,
    used: specs.flatMap(({ name, channel }): UsedColumn[] => {
      const read = table.columns[name];
      const use = table.uses.find((one) => one.as === name);
      return read === undefined
        ? []
        : [
            {
              channel,
              column: use === undefined ? name : use.number - 1,
              values: Float64Array.from(read.values),
            },
          ];
    }),
    ignored: table.uses.flatMap(({ use, number, reason }) =>
      use === "ignored" ? [{ column: number - 1, text: reason }] : [],
    ),
  };
}

export const theReader: Reader = (request) => {
  try {
    const isLog = request.kind === "log" || request.kind === "pull" || request.kind === "runs";
    return isLog ? readDriveLog(request) : readCarTable(request);
  } catch (error) {
    if (!isFault(error)) return { ...NOTHING, crashed: String(error) };
    return { ...NOTHING, refused: error.message };
  }
};
