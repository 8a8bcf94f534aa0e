import { BellmouthError } from "../../fault/index.js";
import type { RunSamples } from "../../intake/index.js";
import { type ColumnSpec, columnOf, readTable, type TableColumn } from "../../text/index.js";
import type { BuildContext } from "../document.js";

/** How the logs of a trial are written. */
export interface RunLogColumns {
  readonly speed: string;
  readonly pressure: string | undefined;
  readonly temperature: string | undefined;
  readonly throttle: string | undefined;
  readonly speedUnit: string | undefined;
  readonly temperatureUnit: string | undefined;
  readonly pressureReads: "absolute" | "gauge" | "below-outside" | undefined;
  /** [1] */
  readonly fullThrottle: number | undefined;
}

/**
 * Reads the log of one run and keeps its full-throttle rows.
 *
 * @param barometer outside pressure of the run [Pa]
 * @returns samples in SI
 * @throws as `readTable`; `E_UNIT` on a pressure column that does not say what it is measured from; `E_TOO_LITTLE_DATA`
 *   when no row is at full throttle
 */
export function readRunLog(
  name: string,
  columns: RunLogColumns,
  barometer: number,
  context: BuildContext,
): RunSamples {
  const spec = (column: string, dimensions: ColumnSpec["dimensions"], unit?: string): ColumnSpec => ({
    name: column,
    dimensions,
    blanks: "missing",
    ...(unit === undefined ? {} : { unit }),
  });
  const table = readTable(
    context.open(name),
    [
      spec(columns.speed, ["rotational speed"], columns.speedUnit),
      ...(columns.pressure === undefined
        ? []
        : [spec(columns.pressure, ["pressure", "pressure difference"])]),
      ...(columns.temperature === undefined
        ? []
        : [spec(columns.temperature, ["temperature"], columns.temperatureUnit)]),
      ...(columns.throttle === undefined ? [] : [spec(columns.throttle, ["ratio"])]),
    ],
    { file: context.nameOf(name), others: "ignore" },
  );
  const throttle = columns.throttle === undefined ? undefined : columnOf(table, columns.throttle).values;
  const least = columns.fullThrottle ?? 0;
  const kept = Array.from({ length: table.rows }, (_, r) => r).filter(
    (r) => throttle === undefined || (throttle[r] as number) >= least,
  );
  if (kept.length === 0) {
    throw new BellmouthError({
      code: "E_TOO_LITTLE_DATA",
      message: "no row of this log is at full throttle",
      found: `at most ${Math.round(100 * (throttle ?? []).reduce((most, one) => Math.max(most, one), 0))} %`,
      accepted: `rows at ${Math.round(100 * least)} % or more, or a lower 'full-throttle'`,
      at: { file: context.nameOf(name) },
    });
  }
  const pick = (values: readonly number[]): number[] => kept.map((r) => values[r] as number);
  const pressure = columns.pressure === undefined ? undefined : columnOf(table, columns.pressure);
  return {
    speed: pick(columnOf(table, columns.speed).values),
    ...(pressure === undefined
      ? {}
      : { pressure: pick(absolute(pressure, columns.pressureReads, barometer)) }),
    ...(columns.temperature === undefined
      ? {}
      : { temperature: pick(columnOf(table, columns.temperature).values) }),
  };
}

/** Absolute pressures [Pa] of a column, by its unit's word or by what the document says of a bare unit. */
function absolute(
  column: TableColumn,
  reads: RunLogColumns["pressureReads"],
  barometer: number,
): readonly number[] {
  if (column.dimension === "pressure") return column.values;
  if (reads === undefined) {
    throw new BellmouthError({
      code: "E_UNIT",
      message: "this column does not say what its pressure is measured from",
      found: `[${column.unit}]`,
      accepted:
        "'pressure-reads: absolute', 'gauge' or 'below-outside' in the document, or [kPa absolute] in the header",
      at: column.at,
    });
  }
  if (reads === "absolute") return column.values;
  const sign = reads === "gauge" ? 1 : -1;
  return column.values.map((value) => barometer + sign * value);
}
