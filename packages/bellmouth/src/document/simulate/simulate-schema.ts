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

/** Shape of the simulate document. */
export function simulateSchema() {
  const share = (about: string, example: string, from: number, to: number) =>
    quantityField("ratio", { about, example, range: { from, to }, percent: true });
  return block({
    bellmouth: headerField("simulate", 1),
    title: textLineField("What this drive is."),
    car: textLineField("Name of an invented car; the command lists them when it does not know one.", 40),
    meter: choiceField(
      ["old", "new"],
      "old: the meter before the swap, whose table is right; new: the meter whose table is planned.",
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
    faults: block({
      leak: quantityField("area", {
        about: "Opening behind the meter, discharge coefficient included.",
        example: "1.5 mm^2",
        range: { from: 0, to: 1e-4 },
      }).optional(),
      injectors: share("Fuel delivered over fuel commanded.", "95 %", 0.5, 2).optional(),
      "fuel-pressure": share("Fuel pressure over its nominal value.", "90 %", 0.3, 3).optional(),
      "heat-soak": quantityField("temperature difference", {
        about: "What the intake-air sensor reads too high when hot and standing.",
        example: "10 K",
        range: { from: 0, to: 60 },
      }).optional(),
      "exhaust-leak": share(
        "Air drawn into the exhaust at idle, share of its flow.",
        "5 %",
        0,
        0.5,
      ).optional(),
    })
      .meta({ description: "What is wrong with the car besides its table; nothing when left out." })
      .optional(),
  }).meta({ title: "simulate" });
}
