import * as z from "zod";
import {
  CHANNEL_KEYS,
  type ChannelKey,
  type ColumnChannel,
  channelName,
  columnUnit,
  type GivenChannel,
  type GivenColumns,
  type GivenRef,
  ruleOf,
  unitNames,
} from "../columns/index.js";
import { BellmouthError, omitUndefined } from "../fault/index.js";
import { shown } from "../text/index.js";
import type { BuildContext } from "./document.js";
import {
  block,
  choiceField,
  listOf,
  numberField,
  oneOf,
  quantityField,
  textLineField,
  wholeField,
} from "./fields.js";

/** What a channel's column may look like, for schemas and their examples. */
const EXAMPLES: { readonly [key in ChannelKey]: string } = {
  signal: "MAF [Hz]",
  airflow: "Airflow [g/s]",
  "engine-speed": "Engine Speed [rpm]",
  lambda: "Lambda [1]",
  "lambda-target": "Lambda Target [1]",
  "short-trim": "Short Trim [%]",
  "long-trim": "Long Trim [%]",
  coolant: "Coolant [degC]",
  "intake-air": "Intake Air [degC]",
  "ambient-air": "Outside Air [degC]",
  "manifold-pressure": "MAP [kPa absolute]",
  barometer: "Barometer [kPa]",
  throttle: "Throttle [%]",
  load: "Load [%]",
  "vehicle-speed": "Vehicle Speed [km/h]",
  battery: "Battery [V]",
  "closed-loop": "Closed Loop [1]",
  "fuel-cut": "Fuel Cut [1]",
};

const SERVICE_DATA = "service-data units";

const ref = (about: string) =>
  oneOf(
    [textLineField(`${about} Its name.`, 200), wholeField(`${about} Its number, from 1.`, 1, 100_000)],
    "a column's name, or its number from 1",
  );

/** Where one quantity stands: a column's name with its unit, its number, or a block. */
export const placeField = (about: string, example: string) =>
  oneOf(
    [
      textLineField(
        `${about} A column's name, with the unit of its numbers in brackets where the file does not state it.`,
        200,
      ).meta({ examples: [example] }),
      wholeField("Number of a column, from 1.", 1, 100_000),
      block({
        column: ref("A column.").optional(),
        columns: listOf(ref("A column of one bank."), "Columns of several banks.", 2, 8).optional(),
        combine: choiceField(
          ["sum", "mean"],
          "Several columns: their sum (airflow of two banks) or their mean (lambda and trims of two banks).",
        ).optional(),
        unit: oneOf(
          [
            textLineField("Unit of its numbers.", 40),
            listOf(
              textLineField("Unit of one column's numbers.", 40),
              "Units of the columns, in turn.",
              2,
              8,
            ),
          ],
          "a unit, or a list with one for each of the columns",
        ).optional(),
        stoichiometric: numberField(
          "Air-fuel ratio that stands for lambda 1 in the column: the gauge's setting.",
          5,
          20,
        ).optional(),
        scale: textLineField("What counts stand for.", 40)
          .meta({ examples: ["5 V / 1023"] })
          .optional(),
        reads: choiceField(
          ["absolute", "gauge", "below-outside"],
          "What a pressure is measured from.",
        ).optional(),
        barometer: quantityField("pressure", {
          about:
            "Outside pressure during the log, for a pressure that is measured from it and a log without a barometer.",
          example: "98.5 kPa absolute",
          range: { from: 45_000, to: 115_000 },
        }).optional(),
        formula: textLineField("Computed from columns, in the channel's SI unit.", 500)
          .meta({ examples: ["afr / 14.7"] })
          .optional(),
        names: z
          .record(z.string().max(60), ref("A column."))
          .meta({ description: "Which column each name of the formula is." })
          .optional(),
      }),
    ],
    `a column, as in '${example}', or a block with column and unit, or with formula and names`,
  );

/** The `columns` block of a document: what its logs and tables do not say themselves. `more` are keys of that document alone. */
export const columnsBlock = <More extends z.ZodRawShape = Record<never, never>>(
  about: string,
  more: More = {} as More,
) =>
  oneOf(
    [
      z.literal(SERVICE_DATA).meta({
        description:
          "Every column without a unit has that of service data (SAE J1979): g/s, rpm, kPa, %, degC, km/h.",
      }),
      block({
        units: choiceField(
          ["service-data"],
          "Every column without a unit has that of service data (SAE J1979): g/s, rpm, kPa, %, degC, km/h.",
        ).optional(),
        time: oneOf(
          [
            textLineField("The column of the rows' time with its unit, or [clock] for times of day.").meta({
              examples: ["Time [s]", "Time [clock]"],
            }),
            block({ column: ref("A column."), unit: textLineField("Unit, or clock.", 20).optional() }),
          ],
          "a column with its unit, as in 'Time [s]' or 'Time [clock]'",
        ).optional(),
        "rows-every": oneOf(
          [
            z
              .literal("unknown")
              .meta({ description: "Rows are in order, at no known pace: each stands on its own." }),
            quantityField("time", {
              about: "Time between rows, for a log without a time column.",
              example: "0.1 s",
              range: { over: 0, to: 3600 },
            }),
          ],
          "a time, as in '0.1 s', or 'unknown'",
        ).optional(),
        split: ref("A change in this column begins another drive.").optional(),
        ignore: listOf(
          ref("A column that is not used, whatever its name says."),
          "Columns that are not used.",
          1,
          1000,
        ).optional(),
        others: choiceField(
          ["ignore"],
          "ignore: what is not placed here is not used, whatever its name says.",
        ).optional(),
        ...more,
        ...(Object.fromEntries(
          (Object.keys(CHANNEL_KEYS) as ChannelKey[]).map((key) => [
            key,
            placeField(
              `Where the ${channelName(CHANNEL_KEYS[key])} stands${key === "long-trim" ? ", or 'reset to 0'" : ""}.`,
              EXAMPLES[key],
            ).optional(),
          ]),
        ) as { [key in ChannelKey]: z.ZodOptional<ReturnType<typeof placeField>> }),
      }),
    ],
    `'${SERVICE_DATA}', or a block that places columns`,
  ).meta({ description: about });

export type RawColumns = z.output<ReturnType<typeof columnsBlock<Record<never, never>>>>;
type RawColumn = z.output<ReturnType<typeof placeField>>;

/** Name and unit of `MAF [Hz]`; the whole text is the name where no unit stands at its end. */
function splitUnit(text: string): { readonly column: string; readonly unit?: string } {
  const match = /^(?<column>.*\S)\s*\[(?<unit>[^\][]+)\]\s*$/u.exec(text);
  if (match?.groups === undefined) return { column: text.trim() };
  return { column: (match.groups["column"] as string).trim(), unit: (match.groups["unit"] as string).trim() };
}

/** `5 V / 1023` -> volts a count. */
function perCountOf(text: string): GivenChannel["perCount"] {
  const match = /^\s*([\d.]+)\s*(V|mV|Hz|kHz)\s*(?:\/|per)\s*(\d+(?:\.\d+)?)?\s*(?:counts?)?\s*$/u.exec(text);
  if (match === null) return undefined;
  const factor = match[2] === "mV" ? 1e-3 : match[2] === "kHz" ? 1e3 : 1;
  return {
    value: (Number(match[1]) * factor) / Number(match[3] ?? 1),
    unit: match[2]?.endsWith("Hz") === true ? "Hz" : "V",
  };
}

/** Whether some column of a channel can be in a unit. */
function unitFits(channel: ColumnChannel, unit: string): boolean {
  const { dimensions } = ruleOf(channel);
  return (
    dimensions.some((dimension) => columnUnit(dimension, unit) !== undefined) ||
    (dimensions[0] === "trim" && columnUnit("ratio", unit)?.name === "1")
  );
}

/** What the field says, as data. @throws `E_SCHEMA` */
export function givenChannel(channel: string, raw: RawColumn): GivenChannel {
  if (typeof raw === "string") {
    const { column: name, unit } = splitUnit(raw);
    return omitUndefined({ columns: [name], unit }) as GivenChannel;
  }
  if (typeof raw === "number") return { columns: [raw] };
  const refuse = (message: string, accepted: string): never => {
    throw new BellmouthError({ code: "E_SCHEMA", message, accepted });
  };
  const columns: readonly GivenRef[] = raw.columns ?? (raw.column === undefined ? [] : [raw.column]);
  if (raw.formula !== undefined) {
    if (raw.names === undefined)
      refuse(
        "a formula needs 'names', which say which column each of its names is",
        "'names: { afr: Wideband AFR }'",
      );
    return { columns: [], formula: { text: raw.formula, names: raw.names ?? {} } };
  }
  if (columns.length === 0) refuse("this block names no column", "'column', 'columns' or 'formula'");
  if (raw.column !== undefined && raw.columns !== undefined)
    refuse("'column' does not go with 'columns'", "one of them");
  const perCount = raw.scale === undefined ? undefined : perCountOf(raw.scale);
  if (raw.scale !== undefined && perCount === undefined)
    refuse(`'${shown(raw.scale)}' is no scale of counts`, "as in '5 V / 1023'");
  if (raw.combine === "sum" && channel !== "airflow")
    refuse(`${channelName(channel)} of two banks has no sum`, "'combine: mean'");
  const { unit } = raw;
  if (Array.isArray(unit) && unit.length !== columns.length)
    refuse(`${unit.length} units for ${columns.length} columns`, "a unit for each of the columns, in turn");
  return omitUndefined({
    columns,
    ...(Array.isArray(unit) ? { units: unit } : { unit }),
    combine: raw.combine,
    stoichiometric: raw.stoichiometric,
    perCount,
    reads: raw.reads,
    barometer: raw.barometer?.value,
  }) as GivenChannel;
}

function wrongUnit(channel: ColumnChannel, unit: string): BellmouthError {
  return new BellmouthError({
    code: "E_UNIT",
    message: /^(?:afr|a\/f|air.?fuel)/iu.test(unit)
      ? "an air-fuel ratio is lambda only with its scale: write { column: …, unit: AFR, stoichiometric: 14.7 }"
      : "not a unit that a log has this column in",
    found: `'${shown(unit)}'`,
    accepted: ruleOf(channel).dimensions.flatMap(unitNames).join(", "),
  });
}

/** One channel's entry, its unit checked. @throws `E_UNIT`, `E_SCHEMA` */
function checkedChannel(channel: ColumnChannel, raw: RawColumn): GivenChannel {
  const given = givenChannel(channel, raw);
  for (const unit of given.units ?? (given.unit === undefined ? [] : [given.unit]))
    if (
      !unitFits(channel, unit) ||
      (columnUnit("lambda", unit)?.name === "AFR" &&
        given.stoichiometric === undefined &&
        ruleOf(channel).dimensions[0] === "lambda")
    )
      throw wrongUnit(channel, unit);
  return given;
}

/** What a `columns` block says, as data; faults are collected at their keys. `undefined` where there were any. */
export function buildColumns(
  raw: RawColumns | undefined,
  path: string,
  context: Pick<BuildContext, "attempt">,
): GivenColumns | undefined {
  if (raw === undefined) return { channels: {} };
  if (raw === SERVICE_DATA) return { serviceData: true, channels: {} };
  const { units, time, "rows-every": rowsEvery, split, ignore, others, ...rest } = raw;
  const channels: { [channel in ColumnChannel]?: GivenChannel } = {};
  let longTrim: GivenColumns["longTrim"];
  let sound = true;
  for (const [key, value] of Object.entries(rest) as [ChannelKey, RawColumn | undefined][]) {
    if (value === undefined) continue;
    if (key === "long-trim" && value === "reset to 0") longTrim = "reset to 0";
    else {
      const channel = CHANNEL_KEYS[key];
      const built = context.attempt(`${path}.${key}`, () => checkedChannel(channel, value));
      if (built === undefined) sound = false;
      else channels[channel] = built;
    }
  }
  const placed = time === undefined ? undefined : context.attempt(`${path}.time`, () => givenTime(time));
  if (time !== undefined && placed === undefined) sound = false;
  if (!sound) return undefined;
  return omitUndefined({
    serviceData: units === undefined ? undefined : true,
    time: placed,
    rowsEvery: rowsEvery === undefined || rowsEvery === "unknown" ? undefined : rowsEvery.value,
    untimed: rowsEvery === "unknown" ? true : undefined,
    split,
    longTrim,
    channels,
    ignore,
    others,
  }) as GivenColumns;
}

function givenTime(raw: NonNullable<Exclude<RawColumns, string>["time"]>): NonNullable<GivenColumns["time"]> {
  const given = typeof raw === "string" ? splitUnit(raw) : raw;
  if (given.unit === undefined || given.unit === "clock" || columnUnit("time", given.unit) !== undefined)
    return omitUndefined(given) as NonNullable<GivenColumns["time"]>;
  throw new BellmouthError({
    code: "E_UNIT",
    message: "not a unit of time",
    found: `'${shown(given.unit)}'`,
    accepted: [...unitNames("time"), "clock"].join(", "),
  });
}

/**
 * A `columns` block as a script has it (an object, or `"service-data units"`), checked by the schema of the documents.
 *
 * @throws `E_SCHEMA`, `E_UNIT`
 */
export function givenColumns(data: unknown): GivenColumns {
  const read = columnsBlock("").safeParse(data);
  if (!read.success) {
    const [issue] = read.error.issues;
    throw new BellmouthError({
      code: "E_SCHEMA",
      message: "not a columns block",
      found: String(issue?.path.join(".") ?? ""),
      accepted: issue?.message ?? "",
    });
  }
  const given = buildColumns(read.data, "columns", { attempt: (_, run) => run() });
  return given ?? { channels: {} };
}

/** Adds the answer of a question to a `columns` block as data: keys replace keys, ignored columns add up. */
export function withAnswer(
  columns: unknown,
  answer: { readonly [key: string]: unknown },
): { readonly [key: string]: unknown } {
  const before: { readonly [key: string]: unknown } =
    columns === undefined
      ? {}
      : columns === SERVICE_DATA
        ? { units: "service-data" }
        : (columns as object as { readonly [key: string]: unknown });
  const list = (from: { readonly [key: string]: unknown }): readonly unknown[] =>
    Array.isArray(from["ignore"]) ? from["ignore"] : [];
  const ignore = [...list(before), ...list(answer)];
  return { ...before, ...answer, ...(ignore.length > 0 ? { ignore } : {}) };
}
