import type * as z from "zod";
import {
  airDensity,
  airViscosity,
  chokedMassFlux,
  type DifferentialMeter,
  meterFlow,
} from "../../air/index.js";
import { curveEvaluator, makeCurve } from "../../curve/index.js";
import { at, BellmouthError, omitUndefined } from "../../fault/index.js";
import type { MeasuredPair } from "../../sensor/index.js";
import { type ColumnSpec, columnOf, placeOf, readTable, requireRange, type Table } from "../../text/index.js";
import { kelvins, pascals, pascalsDifference } from "../../units/index.js";
import type { BuildContext } from "../document.js";
import { block, choiceField, fileField, quantityField } from "../fields.js";
import type { AirflowTable } from "../sensor-tables.js";

/** Pairs of the new meter's signal and a flow that something else told, SI. */
export interface Transfer {
  readonly pairs: readonly MeasuredPair[];
  /** Behind the parts that stand in the car, or on a bench, which has not seen them. */
  readonly where: "car" | "bench";
  /** Relative standard uncertainty that all pairs share [1]; `present table` when the present meter told the flows. */
  readonly reference: number | "present table";
  /** From day to day [1]. */
  readonly betweenDays?: number;
  /** Limits of a standard that readings break, in words. */
  readonly beyond: readonly string[];
}

const METERS = [
  "orifice, corner taps",
  "orifice, D and D/2 taps",
  "orifice, flange taps",
  "ISA 1932 nozzle",
  "long radius nozzle",
  "venturi nozzle",
  "machined venturi tube",
] as const satisfies readonly DifferentialMeter[];

/** Most pairs of a file: each is weighed against each other. */
const MOST_PAIRS = 400;

const share = (about: string, example: string) =>
  quantityField("ratio", { about, example, range: { from: 0, to: 0.3 }, percent: true });
const size = (about: string, example: string) =>
  quantityField("length", { about, example, range: { over: 0, to: 1 } });

/** The `transfer` block. */
export const transferBlock = () =>
  block(
    {
      measured: fileField(
        "CSV with the column signal (of the new meter) and, by what told the flow: airflow; or present signal; or drop, pressure (absolute, upstream) and temperature; or pressure and temperature. A column day numbers the days.",
        "pairs.csv",
      ),
      by: choiceField(
        ["flow bench", "nozzle", "critical nozzle", "present meter"],
        "What told the flow: a bench, a meter of ISO 5167, a critical nozzle of ISO 9300, the present meter in series.",
      ),
      where: choiceField(
        ["car", "bench"],
        "Behind the parts that stand ahead in the car, or elsewhere: then those stay in the uncertainty.",
      ),
      reading: share("Standard uncertainty of one pair by itself: its repeatability.", "0.3 %"),
      reference: share(
        "Standard uncertainty that all pairs share: the bench's or nozzle's, its inlet included. Not with the present meter, whose table has its own.",
        "1 %",
      ).optional(),
      "between-days": share(
        "Standard uncertainty from one day's calibration to another's; may be left out when the pairs are of two days or more.",
        "1 %",
      ).optional(),
      nozzle: block({
        kind: choiceField(METERS, "Kind of ISO 5167."),
        diameter: size("Bore of the pipe upstream.", "100 mm"),
        throat: size("Bore of the plate or throat.", "60 mm"),
      }).optional(),
      "critical-nozzle": block({
        throat: size("Diameter of the throat.", "12 mm"),
        discharge: quantityField("ratio", {
          about: "Discharge coefficient.",
          example: "0.985",
          range: { from: 0.8, to: 1 },
        }),
      }).optional(),
    },
    "Measured pairs that join the law's prediction.",
  );

type Raw = z.output<ReturnType<typeof transferBlock>>;

const COLUMNS: { readonly [by in Raw["by"]]: readonly ColumnSpec[] } = {
  "flow bench": [{ name: "airflow", aliases: ["flow", "mass flow"], dimensions: ["mass flow"] }],
  nozzle: [
    { name: "drop", dimensions: ["pressure difference"] },
    { name: "pressure", dimensions: ["pressure"] },
    { name: "temperature", dimensions: ["temperature"] },
  ],
  "critical nozzle": [
    { name: "pressure", dimensions: ["pressure"] },
    { name: "temperature", dimensions: ["temperature"] },
  ],
  "present meter": [
    { name: "present signal", aliases: ["old signal"], dimensions: ["frequency", "voltage"] },
  ],
};

/** Tables that pairs are held against. */
export interface TransferTables {
  readonly present: AirflowTable;
  /** of the element that will be in the new housing */
  readonly element: AirflowTable;
  /** signals of the table to be made, where they are not the present table's */
  readonly axis: readonly number[];
}

/** Reads the pairs of a `transfer` block; mistakes are collected. */
export function buildTransfer(raw: Raw, tables: TransferTables, context: BuildContext): Transfer | undefined {
  if (!keysFit(raw, context)) return undefined;
  return context.attempt("new.transfer.measured", () => {
    const table = readTable(
      context.open(raw.measured),
      [
        { name: "signal", aliases: ["new signal"], dimensions: [tables.element.signalKind] },
        ...COLUMNS[raw.by],
        { name: "day", dimensions: ["ratio"], optional: true },
      ],
      { file: context.nameOf(raw.measured) },
    );
    const signals = [...tables.element.signal, ...tables.axis];
    requireRange(table, "signal", {
      from: signals.reduce((a, b) => Math.min(a, b)),
      to: signals.reduce((a, b) => Math.max(a, b)),
    });
    if (table.rows > MOST_PAIRS) {
      throw new BellmouthError({
        code: "E_TOO_LARGE",
        message: "more pairs than are weighed together",
        found: `${table.rows}`,
        accepted: `at most ${MOST_PAIRS}; means of neighbours tell as much`,
        at: table.placeOf(0, "signal"),
      });
    }
    const { flows, beyond } = flowsOf(raw, table, tables.present);
    const days = table.columns["day"]?.values;
    const u = raw.reading.value;
    if (new Set(days).size < 2 && raw["between-days"] === undefined) {
      throw new BellmouthError({
        code: "E_TOO_LITTLE_DATA",
        message: "one day's pairs do not say what another day's would, and sensors drift from day to day",
        found: `${table.rows} pairs of one day`,
        accepted: "the key 'between-days', or a column 'day' with two days or more",
        at: placeOf(context.source, "new.transfer"),
      });
    }
    const pairs = columnOf(table, "signal").values.map((value, i) =>
      omitUndefined({ signal: value, flow: at(flows, i), u, day: days?.[i] }),
    );
    return omitUndefined({
      pairs,
      where: raw.where,
      reference: raw.by === "present meter" ? ("present table" as const) : (raw.reference?.value ?? 0),
      betweenDays: raw["between-days"]?.value,
      beyond,
    });
  });
}

/** Which keys go with what told the flow. */
function keysFit(raw: Raw, context: BuildContext): boolean {
  const wanted = {
    reference: raw.by !== "present meter",
    nozzle: raw.by === "nozzle",
    "critical-nozzle": raw.by === "critical nozzle",
  } as const;
  let fits = true;
  for (const [key, needed] of Object.entries(wanted) as [keyof typeof wanted, boolean][]) {
    if ((raw[key] !== undefined) === needed) continue;
    fits = false;
    context.fault(`new.transfer.${key}`, {
      code: "E_SCHEMA",
      message: needed
        ? `the key '${key}' is missing beside 'by: ${raw.by}'`
        : `'${key}' does not go with 'by: ${raw.by}'`,
      accepted: needed ? `'${key}', which this kind needs` : `no '${key}'`,
    });
  }
  if (!(raw.reading.value > 0)) {
    fits = false;
    context.fault("new.transfer.reading", {
      code: "E_DOMAIN",
      message: "no reading is certain",
      found: `'${raw.reading.text}'`,
      accepted: "more than 0 %",
    });
  }
  return fits;
}

interface Flows {
  readonly flows: readonly number[];
  readonly beyond: readonly string[];
}

function flowsOf(raw: Raw, table: Table, present: AirflowTable): Flows {
  if (raw.by === "flow bench") {
    requireRange(table, "airflow", { over: 0 });
    return { flows: columnOf(table, "airflow").values, beyond: [] };
  }
  if (raw.by === "present meter") return { flows: byPresent(table, present), beyond: [] };
  requireRange(table, "temperature", { from: 233, to: 343 });
  requireRange(table, "pressure", { from: 30_000, to: 1_500_000 });
  return raw.by === "nozzle" ? byNozzle(raw, table) : { flows: byCriticalNozzle(raw, table), beyond: [] };
}

function byPresent(table: Table, meter: AirflowTable): readonly number[] {
  const column = columnOf(table, "present signal");
  if (column.dimension !== meter.signalKind) {
    throw new BellmouthError({
      code: "E_SIGNAL_KIND",
      message: `a ${column.dimension} for a present meter that puts out a ${meter.signalKind}`,
      found: `[${column.unit}]`,
      accepted: meter.signalKind === "frequency" ? "Hz, kHz" : "V, mV",
      at: column.at,
    });
  }
  requireRange(table, "present signal", {
    from: at(meter.signal, 0),
    to: at(meter.signal, meter.signal.length - 1),
  });
  const flowAt = curveEvaluator(
    makeCurve({
      x: { quantity: meter.signalKind, values: meter.signal },
      y: { quantity: "mass flow", values: meter.flow },
      between: "straight",
      outside: "refuse",
    }),
  );
  return column.values.map((value) => flowAt(value));
}

/** ISO 5167: dry air, whose moisture changes the flow by less than 0.5 %; it belongs to `reference`. */
function byNozzle(raw: Raw, table: Table): Flows {
  const { kind, diameter, throat } = raw.nozzle as NonNullable<Raw["nozzle"]>;
  requireRange(table, "drop", { over: 0 });
  const [drops, pressures, temperatures] = ["drop", "pressure", "temperature"].map(
    (name) => columnOf(table, name).values,
  );
  const beyond = new Set<string>();
  const flows = (drops ?? []).map((drop, i) => {
    const temperature = kelvins(at(temperatures ?? [], i));
    const pressure = pascals(at(pressures ?? [], i));
    const density = airDensity({ temperature, pressure, relativeHumidity: 0 });
    const told = meterFlow(
      { kind, diameter: diameter.value, throat: throat.value },
      {
        upstreamPressure: pressure,
        drop: pascalsDifference(drop),
        density,
        viscosity: airViscosity(temperature),
      },
    );
    for (const limit of told.outside) beyond.add(`${kind}: ${limit}`);
    return told.massFlow;
  });
  return { flows, beyond: [...beyond] };
}

/** ISO 9300: ideal dry air; its real-gas factor is within 0.1 % near ambient pressure. */
function byCriticalNozzle(raw: Raw, table: Table): readonly number[] {
  const { throat, discharge } = raw["critical-nozzle"] as NonNullable<Raw["critical-nozzle"]>;
  const area = (Math.PI / 4) * throat.value ** 2;
  const temperatures = columnOf(table, "temperature").values;
  return columnOf(table, "pressure").values.map((pressure, i) => {
    const from = {
      stagnationPressure: pascals(pressure),
      stagnationTemperature: kelvins(at(temperatures, i)),
    };
    return discharge.value * area * chokedMassFlux(from);
  });
}
