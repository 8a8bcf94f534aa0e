import type { DriveResult } from "../../stage/index.js";
import type { Account } from "../account.js";
import { figuresOf } from "../keys.js";
import { toUnit } from "../to-unit.js";
import { tableFigure, traceFigures } from "./trace-figures.js";

/** What a simulated drive has to say. */
export const driveAccount = (result: DriveResult): Account => ({
  kind: "drive",
  label: "Simulated drive",
  title: result.title,
  verdict: {
    level: "told",
    words: "A simulated car",
    sentence: `Car '${result.car}' with its ${result.meter} meter, seed ${result.seed}: it says whether a method finds what is there to be found, and nothing about any real engine.`,
  },
  figures: figuresOf([
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
  ]),
  findings: [],
  entry: [],
  lead: traceFigures(result).slice(0, 2),
  steps: [],
  stop: null,
  sections: [
    { id: "log", title: "The log", text: [], tables: [], figures: traceFigures(result).slice(2) },
    {
      id: "answer",
      title: "The table against the truth",
      text: [],
      tables: [],
      figures: [tableFigure(result)],
    },
  ],
  cautions: [],
});
