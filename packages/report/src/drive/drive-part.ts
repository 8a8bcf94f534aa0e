import type { DriveResult } from "bellmouth/stage";
import { firstScreen } from "../first-screen.js";
import type { ReportPart } from "../page.js";
import { toUnit } from "../units.js";
import { tableFigure, traceFigures } from "./trace-figures.js";

/** A simulated drive as part of a page. */
export const drivePart = (result: DriveResult): ReportPart => ({
  kind: "drive",
  label: "Simulated drive",
  title: result.title,
  first: firstScreen(
    {
      tone: "plain",
      word: "An invented car",
      sentence: `Car '${result.car}' with its ${result.meter} meter, seed ${result.seed}: it says whether a method finds what is there to be found, and nothing about any real engine.`,
    },
    [
      {
        name: "Driven",
        value: result.seconds / 60,
        low: null,
        high: null,
        unit: "min",
        meaning: `${result.rows} rows; warm ${Math.round(100 * result.warm)} % of the time, fuel cut ${Math.round(100 * result.fuelCut)} %`,
      },
      {
        name: "Largest airflow",
        value: toUnit(result.units.flow, "mass flow")(result.peakFlow),
        low: null,
        high: null,
        unit: result.units.flow,
        meaning: "as the table in the engine computer read it",
      },
      {
        name: "Table off the truth",
        value: 100 * result.tableError,
        low: null,
        high: null,
        unit: "%",
        meaning: "root mean square over the true curve's cells; no method may see it",
      },
    ],
    [],
  ),
  sections: [
    { id: "log", title: "The log", figures: traceFigures(result) },
    { id: "answer", title: "The answer", figures: [tableFigure(result)] },
  ],
});
