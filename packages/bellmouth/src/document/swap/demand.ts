import type * as z from "zod";
import { readLog as readDriveLog } from "../../drive/index.js";
import { BellmouthError, omitUndefined } from "../../fault/index.js";
import type { Uncertain } from "../../sensor/index.js";
import type { MassFlow, Pressure, RotationalSpeed, Temperature, Volume } from "../../units/index.js";
import { buildColumns, columnsBlock } from "../columns-block.js";
import type { BuildContext } from "../document.js";
import {
  block,
  exactlyOne,
  fileField,
  listOf,
  oneOf,
  quantityField,
  textLineField,
  uncertainField,
  unitField,
  wholeField,
} from "../fields.js";
import { type LogReading, openLog, readingOf } from "../log-columns.js";
import { uncertain } from "./housing.js";
import { buildPullEfficiency, type MeasuredEfficiency, pullEfficiencyBlock } from "./pull-efficiency.js";

/** Air that a day brings. */
export interface Day {
  readonly temperature: Temperature;
  readonly pressure: Pressure;
  /** [1]; 0 (dry, the densest air) when the document does not say */
  readonly relativeHumidity: number;
}

/** Engine as far as its air demand goes. */
export interface EngineDemand {
  readonly displacement: Volume;
  readonly strokes: 2 | 4;
  /** asked for by limits of air per cylinder only */
  readonly cylinders?: number;
  readonly speed: RotationalSpeed;
  readonly volumetricEfficiency: Uncertain;
  /** where it was measured; undefined where it was stated */
  readonly measured?: MeasuredEfficiency;
  /** absolute; the day's pressure when the document does not say (no restriction, no boost) */
  readonly manifoldPressure?: Uncertain<Pressure>;
  /** the day's temperature when the document does not say */
  readonly chargeTemperature?: Uncertain<Temperature>;
}

/** Something the meter will be asked to measure. */
export type Scenario = { readonly name: string } & (
  | { readonly kind: "peak"; readonly flow: Uncertain<MassFlow> }
  | {
      readonly kind: "log";
      readonly file: string;
      /** [kg/s]; NaN a missing sample */
      readonly flow: readonly number[];
      /** [s] */
      readonly time: readonly number[];
      readonly reading: LogReading;
      /** shortest time that a peak must last [s] */
      readonly sustained: number;
      /** relative standard uncertainty that log and new curve share [1] */
      readonly shared: number;
    }
  | { readonly kind: "engine"; readonly engine: EngineDemand; readonly day: Day }
);

export type Idle =
  | { readonly kind: "flow"; readonly flow: Uncertain<MassFlow> }
  | { readonly kind: "engine"; readonly engine: EngineDemand; readonly day: Day };

const dayKeys = () => ({
  temperature: quantityField("temperature", {
    about: "Outside air.",
    example: "20 degC",
    range: { from: 200, to: 345 },
  }),
  pressure: quantityField("pressure", {
    about: "Outside air, absolute: the barometer at your altitude, not reduced to sea level.",
    example: "98.5 kPa absolute",
    range: { from: 40_000, to: 110_000 },
  }),
  humidity: quantityField("ratio", {
    about: "Relative humidity; dry air (the densest, so headroom is judged on the safe side) when left out.",
    example: "60 %",
    range: { from: 0, to: 1 },
    percent: true,
  }).optional(),
});

/** The air of a day: `air`, and the day of a demand. */
export const dayBlock = (about?: string) => block(dayKeys(), about);

const engineKeys = () => ({
  displacement: quantityField("volume", {
    about: "Swept volume of all cylinders.",
    example: "2.2 L",
    range: { over: 0, to: 0.03 },
  }).optional(),
  strokes: wholeField("Strokes of a cycle: 4 or 2.", 2, 4)
    .refine((strokes) => strokes !== 3, { error: "4 or 2" })
    .optional(),
  cylinders: wholeField("Number of cylinders: what air per cylinder is told by.", 1, 24).optional(),
  speed: quantityField("rotational speed", {
    about: "Engine speed of the demand.",
    example: "6500 rpm",
    range: { over: 0, to: 400 },
  }).optional(),
  "volumetric-efficiency": oneOf(
    [
      uncertainField("ratio", {
        about: "Air taken in over displacement at manifold density.",
        example: "95 % ± 3 %",
        range: { from: 0.1, to: 1.5 },
      }),
      pullEfficiencyBlock(),
    ],
    "a ratio as in '95 % ± 3 %', or a block with from-pull, density and, where a change is planned, gain",
  ).optional(),
  "manifold-pressure": uncertainField("pressure", {
    about: "Absolute; the day's pressure when left out: no restriction and no boost.",
    example: "180 kPa absolute ± 3 kPa",
    range: { over: 0, to: 600_000 },
  }).optional(),
  "charge-temperature": uncertainField("temperature", {
    about: "Air at the intake ports; the day's temperature when left out.",
    example: "45 degC ± 5 K",
    range: { from: 200, to: 450 },
  }).optional(),
});

/** The `engine` block of the document. */
export const engineBlock = () =>
  block(engineKeys(), "What scenarios and idle have in common; each may say its own instead.");

type RawEngine = z.output<ReturnType<typeof engineBlock>>;

/** What demands share: the document's engine, and the accuracy of the table that logs were read through [1]. */
interface CommonEngine {
  readonly engine: RawEngine | undefined;
  readonly accuracy: number;
}

/** A mass flow with its uncertainty. */
export const flowField = (about: string, example: string) =>
  uncertainField("mass flow", { about, example, range: { over: 0, to: 5 } });

const scenarioBlock = () =>
  block({
    name: textLineField("Names the scenario in results.", 80),
    peak: flowField("Largest flow, measured or wanted.", "210 g/s ± 3 %").optional(),
    log: block({
      file: fileField("Log of a drive.", "pull.csv"),
      airflow: textLineField("Name of its airflow column, where its header leaves a doubt.").optional(),
      unit: unitField("mass flow", "Unit, for a header that names none.", "g/s").optional(),
      time: textLineField("Name of its time column, where its header leaves a doubt.").optional(),
      columns: columnsBlock("What the log does not say itself.").optional(),
      sustained: quantityField("time", {
        about: "How long the flow must have stayed up to count: shorter peaks are taken for spikes.",
        example: "0.5 s",
        range: { over: 0, to: 60 },
      }),
      shared: quantityField("ratio", {
        about:
          "Standard uncertainty that the log and the new curve have in common, which cancels: the present table's, when the log was made with it and the new curve comes from it. None when left out.",
        example: "2 %",
        range: { from: 0, to: 0.3 },
        percent: true,
      }).optional(),
    }).optional(),
    engine: block(engineKeys()).optional(),
    day: block(
      dayKeys(),
      "The day of an engine's demand: the coldest, at the highest pressure, asks most.",
    ).optional(),
  }).check(exactlyOne([["peak"], ["log"], ["engine", "day"]]));

/** The list `scenarios`. */
export const scenariosField = () =>
  listOf(scenarioBlock(), "What the new meter will be asked to measure.", 1, 50);

type RawScenario = z.output<ReturnType<typeof scenarioBlock>>;
type RawLog = NonNullable<RawScenario["log"]>;

/** The `idle` block. */
export const idleBlock = () =>
  block({
    airflow: flowField("Flow at warm idle.", "3.2 g/s ± 10 %").optional(),
    engine: block(engineKeys()).optional(),
    day: block(dayKeys()).optional(),
  }).check(exactlyOne([["airflow"], ["engine", "day"]]));

export const buildDay = (raw: z.output<ReturnType<typeof dayBlock>>): Day => ({
  temperature: raw.temperature.value,
  pressure: raw.pressure.value,
  relativeHumidity: raw.humidity?.value ?? 0,
});

/** The engine of a scenario: its own keys before those of the document's `engine`. */
function buildEngine(
  own: RawEngine,
  common: CommonEngine,
  path: string,
  context: BuildContext,
): EngineDemand | undefined {
  const keys = { ...common.engine, ...omitUndefined(own) };
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
  const bare = {
    displacement: displacement.value,
    strokes: strokes === 2 ? (2 as const) : (4 as const),
    speed: speed.value,
  };
  const filling =
    "value" in efficiency
      ? { volumetricEfficiency: uncertain(efficiency) }
      : buildPullEfficiency(
          efficiency,
          { ...bare, ownPressure: keys["manifold-pressure"] !== undefined, accuracy: common.accuracy },
          `${own["volumetric-efficiency"] === undefined ? "engine" : path}.volumetric-efficiency`,
          context,
        );
  if (filling === undefined) return undefined;
  return omitUndefined({
    ...bare,
    cylinders: keys.cylinders,
    ...filling,
    manifoldPressure: stated(keys["manifold-pressure"]),
    chargeTemperature: stated(keys["charge-temperature"]),
  });
}

const stated = <T extends number>(reading: { readonly value: T; readonly u: number } | undefined) =>
  reading === undefined ? undefined : uncertain<T>(reading);

export function buildScenario(
  raw: RawScenario,
  common: CommonEngine,
  path: string,
  context: BuildContext,
): Scenario | undefined {
  const { name, peak, log, engine, day } = raw;
  if (peak !== undefined) return { name, kind: "peak", flow: uncertain(peak) };
  if (log !== undefined) {
    const columns = readDemandLog(log, `${path}.log`, context);
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
  raw: z.output<ReturnType<typeof idleBlock>>,
  common: CommonEngine,
  context: BuildContext,
): Idle | undefined {
  if (raw.airflow !== undefined) return { kind: "flow", flow: uncertain(raw.airflow) };
  if (raw.engine === undefined || raw.day === undefined) return undefined;
  const engine = buildEngine(raw.engine, common, "idle.engine", context);
  return engine === undefined ? undefined : { kind: "engine", engine, day: buildDay(raw.day) };
}

/** The air flow (and its time) of a drive, missing samples as NaN. */
type DemandLog = Pick<Extract<Scenario, { kind: "log" }>, "flow" | "time" | "reading">;

/** What was read for a document: scenarios that name the same columns of one log share it. */
const readLogs = new WeakMap<BuildContext, Map<string, DemandLog>>();

function readDemandLog(raw: RawLog, path: string, context: BuildContext): DemandLog | undefined {
  const key = JSON.stringify([
    raw.file,
    raw.airflow ?? null,
    raw.unit ?? null,
    raw.time ?? null,
    raw.columns ?? null,
  ]);
  const logs = readLogs.get(context) ?? new Map<string, DemandLog>();
  readLogs.set(context, logs);
  const log = logs.get(key) ?? openDemandLog(raw, path, context);
  if (log !== undefined) logs.set(key, log);
  return log;
}

function openDemandLog(
  raw: RawLog,
  path: string,
  context: BuildContext,
): Pick<Extract<Scenario, { kind: "log" }>, "flow" | "time" | "reading"> | undefined {
  const built = buildColumns(raw.columns, `${path}.columns`, context);
  if (built === undefined) return undefined;
  const given = {
    ...built,
    ...(raw.time === undefined ? {} : { time: { column: raw.time } }),
    channels: {
      ...built.channels,
      ...(raw.airflow === undefined
        ? {}
        : { airflow: omitUndefined({ columns: [raw.airflow], unit: raw.unit }) }),
    },
  };
  return context.attempt(`${path}.file`, () => {
    const file = context.nameOf(raw.file);
    const text = context.open(raw.file);
    const opened = openLog(text, given, file, ["airflow"], { whole: true, trims: false });
    const log = readDriveLog(text, opened.read.layout, opened.mapping, { name: file });
    const { airflow } = log.channels;
    if (airflow === undefined) {
      throw new BellmouthError({
        code: "E_COLUMN",
        message: "this log has no airflow",
        found: opened.read.columns
          .slice(0, 16)
          .map((column) => `"${column.name.slice(0, 40)}"`)
          .join(", "),
        accepted: "a column of airflow, or 'airflow' in this block",
        at: { file },
      });
    }
    return {
      flow: Array.from(airflow.value),
      time: Array.from(airflow.time),
      reading: readingOf(opened, raw.file, log),
    };
  });
}
