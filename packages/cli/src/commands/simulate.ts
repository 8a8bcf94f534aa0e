import { type OrderedDrive, orderedDrive } from "@bellmouth/simulator";
import { BellmouthError, isFault } from "bellmouth";
import { placeOf, type SimulateDocument, type SourceTree, simulateDocument } from "bellmouth/job";
import type { CommandBody } from "../command.js";
import { readInput } from "../document-input.js";
import { deliver } from "../result-output.js";
import { plain } from "../words.js";

/** Drives an invented car and writes its log. */
export const body: CommandBody = (request, io) => {
  const [name = ""] = request.positionals;
  const { document, source } = readInput(name, [simulateDocument], io);
  const ordered = drivePlaced(document, source);
  const figures = figuresOf(ordered);
  const { title, car, meter, seed, faults } = document;
  const data = { kind: "simulated drive", title, car, meter, seed, faults, ...figures };
  return deliver(
    {
      data,
      text: textOf(title, figures),
      files: [
        ...Object.entries(ordered.files).map(([file, text]) => ({ name: file, text })),
        { name: "drive.json", text: `${JSON.stringify(data, null, 2)}\n` },
      ],
    },
    request,
    io,
  );
};

/** The simulator knows places inside the order only; a person wants the line of the document. */
function drivePlaced(document: SimulateDocument, source: SourceTree): OrderedDrive {
  try {
    return orderedDrive(document);
  } catch (error) {
    if (!isFault(error)) throw error;
    const path = error.at?.path?.split(".")[0] ?? "";
    throw new BellmouthError({
      code: error.code,
      message: error.sentence,
      ...(error.found === undefined ? {} : { found: error.found }),
      ...(error.accepted === undefined ? {} : { accepted: error.accepted }),
      at: placeOf(source, path),
    });
  }
}

interface Figures {
  readonly rows: number;
  /** [s] */
  readonly seconds: number;
  /** Largest logged airflow [kg/s]. */
  readonly peakFlow: number;
  /** Shares of the time [1]. */
  readonly warm: number;
  readonly fuelCut: number;
  /** Root of the mean square of ln(table flow / true flow) over the true curve's cells [1]. */
  readonly tableError: number;
}

function figuresOf({ spec, drive }: OrderedDrive): Figures {
  const { columns, truth } = drive;
  const rows = columns.time.length;
  const share = (column: Float64Array, counts: (value: number) => boolean): number =>
    column.reduce((sum, value) => sum + (counts(value) ? 1 : 0), 0) / rows;
  const curve = spec.car.meter.trueCurve.cells;
  // Cells of a table from a file need not be those of the truth: compare where the truth has cells inside the table.
  const table = spec.table.cells;
  const read = (signal: number): number => {
    const right = table.findIndex((cell) => cell.signal >= signal);
    if (right <= 0) return right === 0 && table[0]?.signal === signal ? table[0].flow : Number.NaN;
    const [a, b] = [table[right - 1]!, table[right]!];
    return a.flow + ((b.flow - a.flow) * (signal - a.signal)) / (b.signal - a.signal);
  };
  const errors = curve
    .map((cell) => Math.log(read(cell.signal) / cell.flow))
    .filter((error) => !Number.isNaN(error));
  return {
    rows,
    seconds: columns.time[rows - 1] ?? 0,
    peakFlow: columns.airflow.reduce((most, value) => Math.max(most, value), 0),
    warm: share(columns.coolant, (value) => value > 343.15),
    fuelCut: share(truth.fuelled, (value) => value === 0),
    tableError: Math.sqrt(errors.reduce((sum, error) => sum + error * error, 0) / errors.length),
  };
}

function textOf(title: string, figures: Figures): string {
  const percent = (value: number): string => `${(100 * value).toFixed(0)} %`;
  return `${plain(title, 200)}

A drive of an invented car: ${figures.rows} rows over ${(figures.seconds / 60).toFixed(1)} min, airflow up to ${(figures.peakFlow * 1e3).toFixed(0)} g/s,
warm ${percent(figures.warm)} of the time, fuel cut ${percent(figures.fuelCut)}. The table in the ECU is ${(100 * figures.tableError).toFixed(1)} % rms off the truth.

drive.csv  the log, as a logger would write it
table.csv  the table that was in the ECU
truth.csv  the true curve; no method may see it
`;
}
