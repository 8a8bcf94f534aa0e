import {
  block,
  choiceField,
  fileField,
  listOf,
  quantityField,
  textLineField,
  wholeField,
} from "../fields.js";
import { headerField } from "../header-field.js";
import { SIMULATED_ROADS } from "./simulate-document.js";
import { faultsBlock } from "./simulate-faults.js";
import { feedbackBlock } from "./simulate-feedback.js";

/** Shape of the simulate document. */
export function simulateSchema() {
  const share = (about: string, example: string, from: number, to: number) =>
    quantityField("ratio", { about, example, range: { from, to }, percent: true });
  return block({
    bellmouth: headerField("simulate", 1),
    title: textLineField("What this drive is."),
    car: textLineField("Name of an invented car; the command lists them when it does not know one.", 40),
    meter: choiceField(
      ["present", "new"],
      "present: the meter before the swap, whose table is right; new: the meter whose table is planned.",
    ),
    seed: wholeField("All chance of the drive; the same number gives the same log.", 0, 2 ** 31 - 1),
    duration: quantityField("time", {
      about: "How long the drive is.",
      example: "25 min",
      range: { from: 10, to: 86_400 },
    }),
    roads: listOf(
      choiceField(SIMULATED_ROADS, "A kind of road; pulls go up through the engine speeds at full throttle."),
      "Driven in this order, and again until the time is over.",
      1,
      50,
    ),
    trims: choiceField(["closed-loop", "off"], "closed-loop: lambda feedback; off: trims stay at zero."),
    table: fileField(
      "The ECU's table during the drive: CSV with columns signal [Hz or V] and airflow [g/s, …].",
      "planned.csv",
    ).optional(),
    "planned-error": share(
      "Instead of a table: the car's true curve times a smooth random error of this rms.",
      "5 %",
      0,
      0.2,
    ).optional(),
    barometer: quantityField("pressure", {
      about: "Outside air, absolute.",
      example: "98.5 kPa absolute",
      range: { from: 60_000, to: 110_000 },
    }),
    outside: quantityField("temperature", {
      about: "Outside air.",
      example: "15 degC",
      range: { from: 240, to: 325 },
    }),
    coolant: quantityField("temperature", {
      about: "Coolant at the start; the engine is warm at 90 degC.",
      example: "20 degC",
      range: { from: 240, to: 363 },
    }),
    "log-rate": quantityField("frequency", {
      about: "Rows per second.",
      example: "20 Hz",
      range: { from: 0.5, to: 100 },
    }),
    "log-channels": choiceField(
      ["at-once", "in-turn"],
      "at-once: a row holds one moment, the usual; in-turn: its channels are read one after the other over the row's interval.",
    ).optional(),
    feedback: feedbackBlock().optional(),
    "between-drives": share(
      "How much the meter reads differently from drive to drive: a smooth function of airflow, drawn from the seed.",
      "0.9 %",
      0,
      0.1,
    ).optional(),
    faults: faultsBlock().optional(),
  }).meta({ title: "simulate" });
}
