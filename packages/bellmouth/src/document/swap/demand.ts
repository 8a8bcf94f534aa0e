import type { QuantityReading, UncertainReading } from "../../text/index.js";
import { columnOf, readTable } from "../../text/index.js";
import type { BuildContext } from "../document.js";
import { uncertain } from "./housing.js";
import type { Day, EngineDemand, Idle, Scenario } from "./swap-document.js";

export interface RawDay {
  readonly temperature: QuantityReading<"temperature">;
  readonly pressure: QuantityReading<"pressure">;
  readonly humidity?: QuantityReading<"ratio"> | undefined;
}

export interface RawEngine {
  readonly displacement?: QuantityReading<"volume"> | undefined;
  readonly strokes?: number | undefined;
  readonly speed?: QuantityReading<"rotational speed"> | undefined;
  readonly "volumetric-efficiency"?: UncertainReading<"ratio"> | undefined;
  readonly "manifold-pressure"?: QuantityReading<"pressure"> | undefined;
  readonly "charge-temperature"?: QuantityReading<"temperature"> | undefined;
}

interface RawLog {
  readonly file: string;
  readonly airflow: string;
  readonly unit?: string | undefined;
  readonly time: string;
  readonly sustained: QuantityReading<"time">;
  readonly shared?: QuantityReading<"ratio"> | undefined;
}

export interface RawScenario {
  readonly name: string;
  readonly peak?: UncertainReading<"mass flow"> | undefined;
  readonly log?: RawLog | undefined;
  readonly engine?: RawEngine | undefined;
  readonly day?: RawDay | undefined;
}

export const buildDay = (raw: RawDay): Day => ({
  temperature: raw.temperature.value,
  pressure: raw.pressure.value,
  relativeHumidity: raw.humidity?.value ?? 0,
});

/** The engine of a scenario: its own keys before those of the document's `engine`. */
function buildEngine(
  own: RawEngine,
  common: RawEngine | undefined,
  path: string,
  context: BuildContext,
): EngineDemand | undefined {
  const keys = { ...common, ...dropUndefined(own) };
  const { displacement, strokes, speed } = keys;
  const efficiency = keys["volumetric-efficiency"];
  const missing = (["displacement", "strokes", "speed", "volumetric-efficiency"] as const).filter(
    (key) => keys[key] === undefined,
  );
  for (const key of missing) {
    context.fault(`${path}.${key}`, {
      code: "E_SCHEMA",
      message: `the key '${key}' is missing, here and in 'engine'`,
      accepted: `'${key}' in this block or in the document's engine block`,
    });
  }
  if (
    displacement === undefined ||
    strokes === undefined ||
    speed === undefined ||
    efficiency === undefined
  ) {
    return undefined;
  }
  const manifold = keys["manifold-pressure"];
  const charge = keys["charge-temperature"];
  return {
    displacement: displacement.value,
    strokes: strokes === 2 ? 2 : 4,
    speed: speed.value,
    volumetricEfficiency: uncertain(efficiency),
    ...(manifold === undefined ? {} : { manifoldPressure: manifold.value }),
    ...(charge === undefined ? {} : { chargeTemperature: charge.value }),
  };
}

const dropUndefined = (engine: RawEngine): RawEngine =>
  Object.fromEntries(Object.entries(engine).filter(([, value]) => value !== undefined));

export function buildScenario(
  raw: RawScenario,
  common: RawEngine | undefined,
  path: string,
  context: BuildContext,
): Scenario | undefined {
  const { name, peak, log, engine, day } = raw;
  if (peak !== undefined) return { name, kind: "peak", flow: uncertain(peak) };
  if (log !== undefined) {
    const columns = context.attempt(`${path}.log.file`, () => readLog(log, context));
    if (columns === undefined) return undefined;
    const { sustained, shared } = log;
    return {
      name,
      kind: "log",
      file: log.file,
      ...columns,
      sustained: sustained.value,
      shared: shared?.value ?? 0,
    };
  }
  if (engine === undefined || day === undefined) return undefined;
  const built = buildEngine(engine, common, `${path}.engine`, context);
  return built === undefined ? undefined : { name, kind: "engine", engine: built, day: buildDay(day) };
}

export function buildIdle(
  raw: {
    readonly airflow?: UncertainReading<"mass flow"> | undefined;
    readonly engine?: RawEngine | undefined;
    readonly day?: RawDay | undefined;
  },
  common: RawEngine | undefined,
  context: BuildContext,
): Idle | undefined {
  if (raw.airflow !== undefined) return { kind: "flow", flow: uncertain(raw.airflow) };
  if (raw.engine === undefined || raw.day === undefined) return undefined;
  const engine = buildEngine(raw.engine, common, "idle.engine", context);
  return engine === undefined ? undefined : { kind: "engine", engine, day: buildDay(raw.day) };
}

/** The air flow (and time) of a drive, blanks as missing samples. */
function readLog(
  raw: RawLog,
  context: BuildContext,
): { readonly flow: readonly number[]; readonly time: readonly number[] } {
  const table = readTable(
    context.open(raw.file),
    [
      {
        name: raw.airflow,
        dimensions: ["mass flow"],
        blanks: "missing",
        ...(raw.unit === undefined ? {} : { unit: raw.unit }),
      },
      { name: raw.time, dimensions: ["time"], blanks: "missing" },
    ],
    { file: context.nameOf(raw.file), others: "ignore" },
  );
  return {
    flow: columnOf(table, raw.airflow).values,
    time: columnOf(table, raw.time).values,
  };
}
