import { type OrderedDrive, orderedDrive } from "@bellmouth/simulator";
import { driveAccount } from "bellmouth/account";
import { type SimulateDocument, simulateDocument } from "bellmouth/document";
import type { DriveResult, TraceBand } from "bellmouth/stage";
import type { CommandBody } from "../command.js";
import { readInput } from "../document-input.js";
import { deliver } from "../result-output.js";
import { plain } from "../words.js";

/** Drives an invented car and writes its log. */
export const body: CommandBody = (request, io) => {
  const [name = ""] = request.positionals;
  const { document, placed } = readInput(name, [simulateDocument], io);
  const ordered = placed(orderedDrive);
  const result = resultOf(document, ordered);
  return deliver(
    {
      data: result,
      text: textOf(result),
      files: [
        ...Object.entries(ordered.files).map(([file, text]) => ({ name: file, text })),
        { name: "drive.json", text: `${JSON.stringify(result, null, 2)}\n` },
      ],
      accounts: [driveAccount(result)],
    },
    request,
    io,
  );
};

function resultOf(document: SimulateDocument, { spec, drive }: OrderedDrive): DriveResult {
  const { columns, truth } = drive;
  const rows = columns.time.length;
  const share = (column: Float64Array, counts: (value: number) => boolean): number =>
    column.reduce((sum, value) => sum + (counts(value) ? 1 : 0), 0) / rows;
  const cells = cellsOf(spec);
  const errors = cells.flatMap(({ truth: flow, table }) => (table === null ? [] : [Math.log(table / flow)]));
  const { title, car, meter, seed, faults } = document;
  const { signal } = spec.table;
  return {
    bellmouth: "drive 1",
    kind: "simulated drive",
    title,
    car,
    meter,
    seed,
    faults,
    signal,
    units: { flow: "g/s", signal: signal === "voltage" ? "V" : "Hz" },
    rows,
    seconds: columns.time[rows - 1] ?? 0,
    peakFlow: columns.airflow.reduce((most, value) => Math.max(most, value), 0),
    warm: share(columns.coolant, (value) => value > 343.15),
    fuelCut: share(truth.fuelled, (value) => value === 0),
    tableError: Math.sqrt(errors.reduce((sum, error) => sum + error * error, 0) / errors.length),
    trace: traceOf(columns),
    cells,
  };
}

/** Cells of a table from a file need not be those of the truth: compared where the truth has cells inside the table. */
function cellsOf({ car, table: { cells: table } }: OrderedDrive["spec"]): DriveResult["cells"] {
  const read = (signal: number): number | null => {
    const right = table.findIndex((cell) => cell.signal >= signal);
    const [a, b] = [table[right - 1], table[right]];
    if (b === undefined) return null;
    if (a === undefined) return b.signal === signal ? b.flow : null;
    return a.flow + ((b.flow - a.flow) * (signal - a.signal)) / (b.signal - a.signal);
  };
  return car.meter.trueCurve.cells.map(({ signal, flow }) => ({ signal, truth: flow, table: read(signal) }));
}

/** Stretches of the trace: as many as a picture has room for. */
const STRETCHES = 150;

function traceOf(columns: OrderedDrive["drive"]["columns"]): DriveResult["trace"] {
  const rows = columns.time.length;
  const count = Math.min(STRETCHES, rows);
  const stretches = Array.from({ length: count }, (_, k) => [
    Math.floor((k * rows) / count),
    Math.floor(((k + 1) * rows) / count),
  ]);
  const stretched = (column: Float64Array): readonly (readonly number[])[] =>
    stretches.map(([from, to]) => [...column.subarray(from, to)].filter((value) => Number.isFinite(value)));
  // Five digits: a picture shows no more, and the file stays short.
  const short = (value: number): number => Number(value.toPrecision(5));
  const mean = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0) / values.length;
  const band = (column: Float64Array): TraceBand => {
    const each = stretched(column);
    const of = (pick: (values: readonly number[]) => number): (number | null)[] =>
      each.map((values) => (values.length === 0 ? null : short(pick(values))));
    return {
      low: of((values) => Math.min(...values)),
      mean: of(mean),
      high: of((values) => Math.max(...values)),
    };
  };
  return {
    time: stretched(columns.time).map((values) => short(mean(values))),
    airflow: band(columns.airflow),
    speed: band(columns.engineSpeed),
    lambda: band(columns.lambda),
  };
}

function textOf(result: DriveResult): string {
  const percent = (value: number): string => `${(100 * value).toFixed(0)} %`;
  return `${plain(result.title, 200)}

A drive of an invented car: ${result.rows} rows over ${(result.seconds / 60).toFixed(1)} min, airflow up to ${(result.peakFlow * 1e3).toFixed(0)} g/s,
warm ${percent(result.warm)} of the time, fuel cut ${percent(result.fuelCut)}. The table in the ECU is ${(100 * result.tableError).toFixed(1)} % rms off the truth.

drive.csv  the log, as a logger would write it
table.csv  the table that was in the ECU
truth.csv  the true curve; no method may see it
`;
}
