import type * as z from "zod";
import type { GivenChannel, GivenColumns } from "../../columns/index.js";
import { omitUndefined } from "../../fault/index.js";
import type { RunSamples, TrialOptions, TrialQuantity, TrialRun } from "../../intake/index.js";
import { type Power, seconds, type Temperature } from "../../units/index.js";
import { buildAir } from "../air-fields.js";
import { buildColumns } from "../columns-block.js";
import { type BuildContext, type DocumentKind, defineDocument } from "../document.js";
import type { LogReading } from "../log-columns.js";
import { readRunLog } from "./run-log.js";
import type { TrialDocument } from "./trial-document.js";
import { trialSchema } from "./trial-schema.js";

type RawTrial = z.output<ReturnType<typeof trialSchema>>;
type RawRun = RawTrial["runs"][number];

/** `bellmouth: trial 1`, the document of a back-to-back trial. */
export const trialDocument: DocumentKind<TrialDocument> = defineDocument({
  name: "trial",
  version: 1,
  about: "Runs with an old and a new part, back to back: whether the change helped, and by how much.",
  schema: trialSchema,
  build: buildTrial,
});

function buildTrial(raw: RawTrial, context: BuildContext): TrialDocument | undefined {
  const times = runTimes(raw, context);
  const given = givenColumns(raw, context);
  if (given === undefined) return undefined;
  const logs: LogReading[] = [];
  const runs = raw.runs.map((run, i) =>
    buildRun(run, `runs[${i}]`, times[i] ?? 0, raw, given, logs, context),
  );
  const quantities = compared(runs, context);
  if (runs.some((run) => run === undefined) || quantities.length === 0) return undefined;
  return {
    kind: "trial",
    title: raw.title,
    runs: runs as TrialRun[],
    compare: quantities.map((quantity) => ({ quantity, options: optionsFor(raw, quantity) })),
    worth:
      raw.worth === undefined
        ? null
        : {
            power: { value: raw.worth.power.value, u: raw.worth.power.u as Power },
            speed: raw.worth.speed.value,
            chargeTemperature: {
              value: raw.worth["charge-temperature"].value,
              u: raw.worth["charge-temperature"].u as Temperature,
            },
          },
    units: { pressure: raw.units?.show ?? "Pa", power: raw.units?.power ?? "kW" },
    logs,
  };
}

/** What the runs have values of: every run must have it, or none. */
function compared(runs: readonly (TrialRun | undefined)[], context: BuildContext): TrialQuantity[] {
  const quantities = (["pressure", "temperature"] as const).filter((quantity) => {
    // A run with a mistake of its own is spoken of there.
    const has = runs.map((run) => run === undefined || run.samples[quantity] !== undefined);
    if (runs.every((run) => run?.samples[quantity] === undefined)) return false;
    has.forEach((one, i) => {
      if (one) return;
      context.fault(`runs[${i}]`, {
        code: "E_SCHEMA",
        message: `this run has no ${quantity}, and others have`,
        accepted: `${quantity} in every run, or in none`,
      });
    });
    return true;
  });
  if (runs.some((run) => run === undefined)) return quantities;
  if (quantities.length === 0) {
    context.fault("runs", {
      code: "E_SCHEMA",
      message: "the runs have neither pressure nor temperature to compare",
      accepted: "manifold pressure or intake-air temperature in the logs (see 'columns'), or values of them",
    });
  }
  return quantities;
}

function optionsFor(raw: RawTrial, quantity: TrialQuantity): TrialOptions {
  const known = raw.repeatability?.[quantity];
  const soak = raw.soak?.[quantity];
  return omitUndefined({
    points: raw.points.map((point) => point.value),
    quantity,
    power: raw.power.value,
    drift: raw.drift ?? "unknown",
    boosted: raw.boosted === "yes" ? true : undefined,
    swaps: raw.swaps,
    soak:
      soak === undefined || raw.soak === undefined
        ? undefined
        : { sd: soak.value, time: raw.soak.time.value },
    step: raw.step?.[quantity]?.value,
    window: raw.window?.value,
    wanted: raw.wanted?.[quantity]?.value,
    repeatability:
      known &&
      omitUndefined({
        sd: known.sd.value,
        pointSd: known["point-sd"]?.value,
        degreesOfFreedom: known.runs === undefined ? undefined : known.runs - 1,
      }),
  });
}

/** Start of each run [s] from the first midnight; all with a date, or all without. */
function runTimes(raw: RawTrial, context: BuildContext): number[] {
  const dated = raw.runs.map((run) => run.at.includes("-"));
  return raw.runs.map((run, i) => {
    const [, year, month, day, hour, minute, second] =
      /^(?:(\d{4})-(\d{2})-(\d{2})[ T])?(\d{1,2}):(\d{2})(?::(\d{2}))?$/u.exec(run.at) ?? [];
    const refuse = (message: string, accepted: string): number => {
      context.fault(`runs[${i}].at`, { code: "E_DOMAIN", message, found: `'${run.at}'`, accepted });
      return 0;
    };
    if (dated[i] !== dated[0])
      return refuse("some runs have a date and some have none", "a date for all, or for none");
    if (Number(hour) > 23 || Number(minute) > 59 || Number(second ?? 0) > 59) {
      return refuse("there is no such time of day", "00:00 to 23:59:59");
    }
    const clock = Number(hour) * 3600 + Number(minute) * 60 + Number(second ?? 0);
    if (year === undefined || month === undefined || day === undefined) return clock;
    const date = new Date(`${year}-${month}-${day}T00:00:00Z`);
    if (Number.isNaN(date.getTime()) || date.toISOString().slice(0, 10) !== `${year}-${month}-${day}`) {
      return refuse("there is no such day", "a day of the calendar, year-month-day");
    }
    return date.getTime() / 1000 + clock;
  });
}

function buildRun(
  run: RawRun,
  path: string,
  at: number,
  raw: RawTrial,
  given: GivenColumns,
  logs: LogReading[],
  context: BuildContext,
): TrialRun | undefined {
  const air = buildAir(run.air);
  const { log } = run;
  const read =
    log === undefined
      ? undefined
      : context.attempt(`${path}.log`, () =>
          readRunLog(log, { given, fullThrottle: raw["full-throttle"]?.value }, air.pressure, context),
        );
  if (log !== undefined && read === undefined) return undefined;
  if (read !== undefined) logs.push(read.reading);
  const samples = read?.samples ?? typed(run);
  const { settling } = run;
  return omitUndefined({
    id: run.id,
    side: run.side,
    at: seconds(at),
    air,
    course: run.course,
    settling: settling && { coolant: settling.coolant.value / 60, intake: settling["intake-air"].value / 60 },
    form: run.log === undefined ? "points" : "log",
    samples,
  });
}

function typed(run: RawRun): RunSamples {
  const values = run.values ?? [];
  const column = (quantity: TrialQuantity): number[] =>
    values.map((value) => value[quantity]?.value ?? Number.NaN);
  const has = (quantity: TrialQuantity): boolean => values.some((value) => value[quantity] !== undefined);
  return {
    speed: values.map((value) => value.speed.value),
    ...(has("pressure") ? { pressure: column("pressure") } : {}),
    ...(has("temperature") ? { temperature: column("temperature") } : {}),
  };
}

/** The `columns` block, with the short keys, and the units that stand in blocks of their own. */
function givenColumns(raw: RawTrial, context: BuildContext): GivenColumns | undefined {
  const { columns } = raw;
  const short = typeof columns === "object" ? columns : undefined;
  const { speed, pressure, temperature, ...rest } = short ?? {};
  const built = buildColumns(
    short === undefined ? (columns as "service-data units" | undefined) : rest,
    "columns",
    context,
  );
  if (built === undefined) return undefined;
  const throttle = built.channels.throttle;
  if (throttle !== undefined && raw["full-throttle"] === undefined) {
    context.fault("columns.throttle", {
      code: "E_SCHEMA",
      message: "with a throttle column, 'full-throttle' says from which opening a row counts",
      accepted: "'full-throttle: 95 %', say",
    });
    return undefined;
  }
  const place = (name: string | undefined, more: Omit<GivenChannel, "columns">): GivenChannel | undefined =>
    name === undefined ? undefined : { columns: [name], ...omitUndefined(more) };
  const reads = raw["pressure-reads"];
  return {
    ...built,
    ...(reads === undefined ? {} : { pressureReads: reads }),
    channels: {
      ...built.channels,
      ...omitUndefined({
        engineSpeed: place(speed, { unit: raw.units?.speed }),
        manifoldPressure: place(pressure, { reads }),
        intakeAir: place(temperature, { unit: raw.units?.temperature }),
      }),
    },
  };
}
