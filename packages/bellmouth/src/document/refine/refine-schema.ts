import { columnsBlock } from "../columns-block.js";
import {
  block,
  choiceField,
  exactlyOne,
  fileField,
  listOf,
  quantityField,
  textLineField,
} from "../fields.js";
import { headerField } from "../header-field.js";

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
    columns: columnsBlock(
      "What the logs do not say themselves, for all of them. A column whose name and unit leave no doubt needs no place here; the result says how each was read.",
    ).optional(),
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
