import { BellmouthError, omitUndefined } from "../fault/index.js";
import { type MovedCell, madeRising, type SignalKind } from "../sensor/index.js";
import {
  columnOf,
  readTable,
  requireRange,
  requireRising,
  requireRows,
  risingBy,
  type TableOptions,
} from "../text/index.js";

/** A table of an air meter as read: signals and the flows they mean, in SI. */
export interface AirflowTable {
  readonly signalKind: SignalKind;
  /** [Hz] or [V], strictly increasing, >= 0 */
  readonly signal: readonly number[];
  /** [kg/s], strictly increasing, >= 0 */
  readonly flow: readonly number[];
  /** units of the header, for writing in kind */
  readonly units: { readonly signal: string; readonly flow: string };
  /** where it was read: the file, if it has a name, and the line of each row; no lines for a curve too long to compute with */
  readonly file?: string;
  readonly lines: readonly number[];
  /** rows whose flows were moved within the stated accuracy, because scatter had them fall */
  readonly moved: readonly MovedCell[];
}

export interface AirflowTableOptions extends TableOptions {
  /** Relative standard uncertainty of the flows [1]; flows that fall by no more than that explains are made to rise. */
  readonly accuracy?: number;
}

/**
 * Reads an air meter's table: columns `signal [Hz or V]` and `airflow [g/s, …]`.
 *
 * @param signal what the sensor is said to put out
 * @throws as `readTable`; `E_SIGNAL_KIND` when the header's unit is of the other kind, `E_SHAPE` under two rows,
 *   `E_ORDER` on unsorted or repeated signals, or flows that fall by more than the accuracy explains, `E_DOMAIN` on negatives
 * @example
 * readAirflowTable("signal [kHz],airflow [g/s]\n2,10\n8,200\n", "frequency").flow // => [0.01,0.2]
 */
export function readAirflowTable(
  text: string,
  signal: SignalKind,
  options: AirflowTableOptions = {},
): AirflowTable {
  const read = readTable(
    text,
    [
      {
        name: "signal",
        holds: "signal",
        aliases: ["frequency", "voltage", "maf signal"],
        dimensions: ["frequency", "voltage"],
      },
      {
        name: "airflow",
        aliases: ["flow", "mass flow", "air flow", "maf"],
        dimensions: ["mass flow"],
        holds: "airflow",
      },
    ],
    options,
  );
  const table = risingBy(read, "signal");
  const signals = columnOf(table, "signal");
  const flows = columnOf(table, "airflow");
  if (signals.dimension !== signal) {
    throw new BellmouthError({
      code: "E_SIGNAL_KIND",
      message: `a ${signals.dimension} table where the document says ${signal}`,
      found: `[${signals.unit}]`,
      accepted: signal === "frequency" ? "Hz, kHz" : "V, mV",
      at: signals.at,
    });
  }
  requireRows(table, 2);
  requireRising(table, "signal");
  requireRange(table, "signal", { from: 0 });
  requireRange(table, "airflow", { from: 0 });
  const { accuracy } = options;
  const rising =
    accuracy === undefined
      ? undefined
      : madeRising(
          signals.values,
          flows.values,
          flows.values.map(() => accuracy),
        );
  if (rising === undefined) requireRising(table, "airflow");
  return omitUndefined({
    signalKind: signal,
    signal: signals.values,
    flow: rising?.flows ?? flows.values,
    units: { signal: signals.unit, flow: flows.unit },
    file: table.file,
    lines:
      signals.values.length > MOST_CURVE_ROWS
        ? []
        : signals.values.map((_, row) => table.placeOf(row, "airflow").line ?? row + 2),
    moved: rising?.moved ?? [],
  });
}

/** Most rows of a curve that stages compute with [1]: a table for every reading of a 10-bit converter has 1,024. */
const MOST_CURVE_ROWS = 1_500;

/**
 * Refuses a curve of so many rows that a stage would take minutes.
 *
 * @param rows how many there are [1]
 * @throws `E_TOO_LARGE`
 */
export function requireCurveSize(rows: number, file: string): void {
  if (rows <= MOST_CURVE_ROWS) return;
  throw new BellmouthError({
    code: "E_TOO_LARGE",
    message: "more rows than a curve is computed with",
    found: `${rows} rows`,
    accepted: `at most ${MOST_CURVE_ROWS}: every tenth row, say, of a finely drawn curve`,
    at: { file, line: 1, column: 1 },
  });
}

/** `readAirflowTable` for a file that a document names, of a size that stages compute with. */
export function readMeterTable(
  text: string,
  signal: SignalKind,
  options: NonNullable<Parameters<typeof readAirflowTable>[2]> & { readonly file: string },
): AirflowTable {
  const table = readAirflowTable(text, signal, options);
  requireCurveSize(table.signal.length, options.file);
  return table;
}

/** Points of a temperature element: [K] and [ohm]. */
export interface ThermistorTable {
  /** strictly monotone, in the order of the file */
  readonly temperature: readonly number[];
  /** > 0 */
  readonly resistance: readonly number[];
}

/**
 * Reads points of a temperature element: columns `temperature [degC, …]` and `resistance [ohm, …]`, rising or falling.
 *
 * @throws as `readTable`; `E_SHAPE` under two rows, `E_ORDER` on unsorted or repeated temperatures, `E_DOMAIN` on
 *   resistances that are not above zero
 */
export function readThermistorTable(text: string, options: TableOptions = {}): ThermistorTable {
  const table = readTable(
    text,
    [
      { name: "temperature", aliases: ["temp"], dimensions: ["temperature"], holds: "temperature" },
      { name: "resistance", dimensions: ["resistance"], holds: "resistance" },
    ],
    options,
  );
  const temperature = columnOf(table, "temperature").values;
  const resistance = columnOf(table, "resistance").values;
  requireRows(table, 2);
  requireRange(table, "temperature", { over: 0 });
  requireRange(table, "resistance", { over: 0 });
  const falling = (temperature[1] ?? 0) < (temperature[0] ?? 0);
  temperature.forEach((value, row) => {
    const before = temperature[row - 1];
    if (before === undefined || (falling ? value < before : value > before)) return;
    throw new BellmouthError({
      code: "E_ORDER",
      message: "temperatures go one way, up or down, without repeats",
      found: `row ${row + 1} against row ${row}`,
      accepted: `a temperature ${falling ? "below" : "above"} the row before`,
      at: table.placeOf(row, "temperature"),
    });
  });
  return { temperature, resistance };
}
