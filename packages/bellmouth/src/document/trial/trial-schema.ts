import * as z from "zod";
import { airKeys } from "../air-fields.js";
import { columnsBlock } from "../columns-block.js";
import {
  block,
  choiceField,
  exactlyOne,
  fileField,
  listOf,
  quantityField,
  textLineField,
  uncertainField,
  unitField,
  wholeField,
} from "../fields.js";
import { headerField } from "../header-field.js";

/** Shape of the trial document. */
export function trialSchema() {
  const speed = (about: string, example: string) =>
    quantityField("rotational speed", { about, example, range: { over: 0, to: 400 } });
  const difference = (about: string, example: string) =>
    quantityField("pressure difference", { about, example, range: { over: 0, to: 20_000 } });
  const warmth = (about: string, example: string) =>
    quantityField("temperature difference", { about, example, range: { over: 0, to: 100 } });
  const moved = (about: string, example: string) =>
    quantityField("temperature difference", { about, example, range: { from: -60, to: 60 } });
  const column = (about: string) => textLineField(about, 100);
  const repeatability = <T extends ReturnType<typeof difference> | ReturnType<typeof warmth>>(sd: () => T) =>
    block({
      sd: sd(),
      "point-sd": sd().optional(),
      runs: wholeField(
        "Runs it was learnt from; it is taken as known when left out, and pooled with these runs when given.",
        2,
        1000,
      ).optional(),
    });
  return block({
    bellmouth: headerField("trial", 1),
    title: textLineField("Names the trial in results."),
    points: listOf(
      speed("An engine speed at which the runs are compared.", "5500 rpm"),
      "Engine speeds, rising.",
      1,
      40,
    ),
    window: speed(
      "Half-width of the window around each point; the least distance between points when left out.",
      "400 rpm",
    ).optional(),
    power: quantityField("ratio", {
      about: "Probability with which 'could have seen' and 'would show' are meant. 80 % is usual.",
      example: "80 %",
      range: { over: 0.05, under: 1 },
      percent: true,
    }),
    drift: choiceField(
      ["unknown", "linear", "none"],
      "How runs may change with time. unknown when left out: a drift and a heat soak of unknown size, against the scatter of the runs. linear: a steady drift of any size. none is your claim.",
    ).optional(),
    soak: block(
      {
        pressure: difference(
          "Standard uncertainty of what heat soak adds to or takes from the first run.",
          "60 Pa",
        ).optional(),
        temperature: warmth("The same for intake-air temperature.", "4 K").optional(),
        time: quantityField("time", {
          about: "Time in which it falls to 37 %.",
          example: "10 min",
          range: { over: 0, to: 36_000 },
        }),
      },
      "Heat soak of known size: needed before a difference is claimed where one side was driven first.",
    ).optional(),
    step: block(
      {
        pressure: quantityField("pressure difference", {
          about: "Smallest step of pressure.",
          example: "0.1 psi",
          range: { from: 0, to: 20_000 },
        }).optional(),
        temperature: quantityField("temperature difference", {
          about: "Smallest step of temperature.",
          example: "1 K",
          range: { from: 0, to: 20 },
        }).optional(),
      },
      "Smallest step of the gauge's display or of the log; found from the values when left out.",
    ).optional(),
    boosted: choiceField(
      ["yes", "no"],
      "Whether a compressor lifts the manifold above the outside air. no when left out.",
    ).optional(),
    swaps: choiceField(
      ["often", "few"],
      "How often the part can be exchanged, for planned orders. often when left out: old, new, new, old; few: old, new, old.",
    ).optional(),
    wanted: block({
      pressure: difference("A rise of manifold pressure you would like to see.", "0.1 psi").optional(),
      temperature: warmth("A change of intake-air temperature you would like to see.", "3 K").optional(),
    }).optional(),
    repeatability: block(
      {
        pressure: repeatability(() =>
          difference("Standard deviation of one run of the same car about another.", "40 Pa"),
        ).optional(),
        temperature: repeatability(() =>
          warmth("Standard deviation of one run of the same car about another.", "1 K"),
        ).optional(),
      },
      "How well one run repeats another, known beforehand: needed where too few runs show it. It is never assumed.",
    ).optional(),
    columns: columnsBlock(
      "What the logs do not say themselves. A column whose name and unit leave no doubt needs no place here. The first three keys are short for engine-speed, manifold-pressure and intake-air.",
      {
        speed: column("Column of engine speed in the logs.").optional(),
        pressure: column("Column of manifold pressure.").optional(),
        temperature: column("Column of intake-air temperature.").optional(),
      },
    ).optional(),
    "pressure-reads": choiceField(
      ["absolute", "gauge", "below-outside"],
      "What a pressure column with a bare unit (kPa) means: absolute, gauge (above outside: below zero at full throttle), or the depression below outside.",
    ).optional(),
    "full-throttle": quantityField("ratio", {
      about: "Rows below this throttle opening are left out of a log.",
      example: "95 %",
      range: { over: 0, to: 1 },
      percent: true,
    }).optional(),
    units: block({
      speed: unitField(
        "rotational speed",
        "Unit of a speed column whose header names none.",
        "rpm",
      ).optional(),
      temperature: unitField(
        "temperature",
        "Unit of a temperature column whose header names none.",
        "degC",
      ).optional(),
      show: unitField(
        "pressure difference",
        "Unit that pressures are shown in; Pa when left out.",
        "psi",
      ).optional(),
      power: unitField("power", "Unit that power is shown in; kW when left out.", "hp").optional(),
    }).optional(),
    worth: block(
      {
        power: uncertainField("power", {
          about: "Brake power before the change.",
          example: "118 kW ± 4 kW",
          range: { over: 0, to: 2e6 },
        }),
        speed: speed("Engine speed of that power; the nearest point is used.", "6000 rpm"),
        "charge-temperature": uncertainField("temperature", {
          about: "Air in the manifold at full throttle, before the change.",
          example: "35 degC ± 3 K",
          range: { from: 240, to: 450 },
        }),
      },
      "What the change is worth in power.",
    ).optional(),
    runs: listOf(
      block({
        id: textLineField("Name of the run.", 60),
        side: choiceField(["before", "after"], "Old part or new."),
        at: z
          .string({ error: "when the run began, as in '10:05' or '2026-05-02 10:05:30'" })
          .regex(/^(?:\d{4}-\d{2}-\d{2}[ T])?\d{1,2}:\d{2}(?::\d{2})?$/u, {
            error: "when the run began, as in '10:05' or '2026-05-02 10:05:30'",
          })
          .meta({
            description: "When the run began; with the date where runs span midnight.",
            examples: ["10:05"],
          }),
        air: block(airKeys(), "Outside air of this run."),
        course: textLineField("Road and direction, or 'dyno'.", 100).optional(),
        settling: block(
          {
            coolant: moved("How far the coolant moved in the minute before the pull.", "0.5 K"),
            "intake-air": moved("How far the intake air moved in the minute before the pull.", "1 K"),
          },
          "Whether the car had settled. With it for every run, no heat soak is allowed for.",
        ).optional(),
        log: fileField("CSV of the run, one row a sample.", "runs/a1.csv").optional(),
        values: listOf(
          block({
            speed: speed("The point.", "5500 rpm"),
            pressure: quantityField("pressure", {
              about: "Manifold pressure there, absolute.",
              example: "94.1 kPa absolute",
            }).optional(),
            temperature: quantityField("temperature", {
              about: "Intake-air temperature there.",
              example: "31 degC",
            }).optional(),
          }),
          "Values at the points, where they were read off a gauge.",
          1,
          40,
        ).optional(),
      }).check(exactlyOne([["log"], ["values"]])),
      "Runs, in any order.",
      1,
      100,
    ),
  });
}
