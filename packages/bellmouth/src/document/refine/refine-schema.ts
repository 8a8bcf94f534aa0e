import * as z from "zod";
import {
  block,
  choiceField,
  exactlyOne,
  fileField,
  listOf,
  oneOf,
  quantityField,
  textLineField,
} from "../fields.js";
import { headerField } from "../header-field.js";
import { CHANNEL_KEYS, type ChannelKey, channelWords } from "./channel-names.js";

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
  "manifold-pressure": "MAP [kPa]",
  barometer: "Barometer [kPa]",
  throttle: "Throttle [%]",
  "vehicle-speed": "Vehicle Speed [km/h]",
};

const column = (about: string, example: string) =>
  oneOf(
    [
      textLineField(`${about} A column's name with its unit in brackets.`, 200).meta({ examples: [example] }),
      block({
        column: textLineField("Name of a column, as the log has it."),
        unit: textLineField("Unit of its numbers.", 40),
      }),
      block({
        formula: textLineField("Computed from columns, in the channel's SI unit.", 500).meta({
          examples: ["afr / 14.7"],
        }),
        names: z
          .record(z.string().max(60), textLineField("Name of a column."))
          .meta({ description: "Which column each name of the formula is." }),
      }),
    ],
    `a column with its unit, as in '${example}', or a block with column and unit, or with formula and names`,
  );

const uncertainty = () =>
  quantityField("ratio", {
    about:
      "Standard uncertainty of the table's flow, as one figure for all cells; part of it is taken as common to all cells, part as smooth over flow.",
    example: "5 %",
    range: { over: 0, to: 0.5 },
    percent: true,
  });

const signalKind = () =>
  choiceField(["frequency", "voltage"], "What the sensor puts out: frequency [Hz] or voltage [V].");

/** Shape of the refine document. */
export function refineSchema() {
  return block({
    bellmouth: headerField("refine", 1),
    title: textLineField("What is refined."),
    table: block({
      plan: fileField(
        "The `plan.json` of a plan: its table and error budget.",
        "result/plan.json",
      ).optional(),
      refined: fileField(
        "The `refine.json` of an earlier pass: its table, and what is known of it.",
        "pass-1/refine.json",
      ).optional(),
      file: fileField(
        "The table as CSV with columns signal [Hz or V] and airflow [g/s, …].",
        "airflow-table.csv",
      ).optional(),
      signal: signalKind().optional(),
      uncertainty: uncertainty().optional(),
    })
      .check(exactlyOne([["plan"], ["refined"], ["file", "signal", "uncertainty"]]))
      .meta({ description: "The table in the ECU during the drives." }),
    outside: choiceField(
      ["hold", "extend"],
      "What the ECU does past the table's ends: hold the end value, or carry the end segment on.",
    ),
    logs: listOf(
      fileField("A log of a drive on that table.", "drive-1.csv"),
      "Logs, one drive each.",
      1,
      200,
    ),
    columns: block({
      time: oneOf(
        [
          textLineField("The column of the rows' time with its unit, or [clock] for a time of day.").meta({
            examples: ["Time [s]", "Time [clock]"],
          }),
          block({ column: textLineField("Name of the column."), unit: textLineField("Unit, or clock.", 20) }),
        ],
        "a column with its unit, as in 'Time [s]' or 'Time [clock]'",
      ).optional(),
      ...(Object.fromEntries(
        Object.entries(CHANNEL_KEYS).map(([key, channel]) => [
          key,
          column(
            `Where the ${channelWords(channel)} stands in the logs.`,
            EXAMPLES[key as ChannelKey],
          ).optional(),
        ]),
      ) as { [key in ChannelKey]: z.ZodOptional<ReturnType<typeof column>> }),
    })
      .meta({
        description:
          "Which columns are which channels, for all logs. When left out, each log's own header is taken where it leaves no doubt, and the result says how it was read.",
      })
      .optional(),
    rows: choiceField(
      ["timed", "untimed"],
      "untimed: the logs have no time; each row is taken as steady, on its own.",
    ).optional(),
    trims: choiceField(["logged", "off"], "off: lambda feedback was off, or the ECU has none.").optional(),
    "present-meter": block({
      table: fileField("The present meter's own table.", "present-airflow.csv"),
      signal: signalKind(),
      uncertainty: uncertainty(),
      logs: listOf(fileField("A log of a drive with the present meter.", "before.csv"), "Logs.", 1, 50),
    })
      .meta({
        description:
          "Drives with the present meter (the one before the swap) and its table, on the same injectors and fuel: what the fuel side gets wrong shows there too and is taken off.",
      })
      .optional(),
    "largest-change": quantityField("ratio", {
      about: "Largest change of a cell in one pass; 20 % when left out.",
      example: "20 %",
      range: { over: 0, to: 0.5 },
      percent: true,
    }).optional(),
  }).meta({ title: "refine" });
}
