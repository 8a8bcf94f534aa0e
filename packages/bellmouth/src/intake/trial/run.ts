import type { MoistAir } from "../../air/index.js";
import { BellmouthError, requireNumber } from "../../fault/index.js";
import type { RotationalSpeed, Time } from "../../units/index.js";

/** Old part or new part. */
export type TrialSide = "before" | "after";

/** What is compared: manifold pressure below the outside air, or intake-air temperature over it. */
export type TrialQuantity = "pressure" | "temperature";

/** Samples of one run, as columns of equal length; NaN where a sample is missing. */
export interface RunSamples {
  /** [rev/s] */
  readonly speed: readonly number[];
  /** Absolute pressure in the manifold [Pa]; needed to compare pressure. */
  readonly pressure?: readonly number[];
  /** Temperature of the intake air [K]; needed to compare temperature. */
  readonly temperature?: readonly number[];
}

/** One pull on the road or the dyno. */
export interface TrialRun {
  readonly id: string;
  readonly side: TrialSide;
  /** When the run began [s], counted from any moment that all runs share. */
  readonly at: Time;
  /** Outside air during the run: barometer [Pa], temperature [K], relative humidity [1]. */
  readonly air: MoistAir;
  /** Road and direction, where there is one: runs of different courses are flagged. */
  readonly course?: string;
  /** How fast temperatures moved in the half minute before the pull [K/s]: shows whether heat soak had settled. */
  readonly settling?: { readonly coolant?: number; readonly intake?: number };
  /** "log": samples along the pull, from which the values at the points are found. "points": one value per chosen point. */
  readonly form: "log" | "points";
  readonly samples: RunSamples;
}

/** Highest engine speed that is not a unit mistake [rev/s]: 30,000 rpm. */
const FASTEST = 500;
const AT_LEAST_SAMPLES = 3;

const tooLittle = (message: string, found: string, accepted: string, path: string): never => {
  throw new BellmouthError({ code: "E_TOO_LITTLE_DATA", message, found, accepted, at: { path } });
};

/**
 * Checks runs and puts them in the order of their time stamps.
 *
 * @param runs     the trial's runs, in any order
 * @param quantity what is compared
 * @throws `E_TOO_LITTLE_DATA` without runs on both sides or samples in a run, `E_SHAPE` on lengths and names, `E_ORDER` on
 *   equal time stamps, `E_DOMAIN` on values that only a unit mistake explains
 */
export function requireRuns(runs: readonly TrialRun[], quantity: TrialQuantity): TrialRun[] {
  for (const side of ["before", "after"] as const) {
    if (!runs.some((run) => run.side === side)) {
      tooLittle(
        "a trial needs at least one run on each side",
        `no run "${side}"`,
        "runs before and after",
        "runs",
      );
    }
  }
  if (new Set(runs.map((run) => run.id)).size !== runs.length) {
    throw new BellmouthError({
      code: "E_SHAPE",
      message: "two runs have one name",
      found: runs.map((run) => run.id).join(", "),
      accepted: "a name of its own for every run",
      at: { path: "runs" },
    });
  }
  runs.forEach((run) => {
    requireRun(run, quantity);
  });
  const sorted = [...runs].sort((a, b) => a.at - b.at);
  sorted.forEach((run, r) => {
    const earlier = sorted[r - 1];
    if (earlier !== undefined && !(run.at > earlier.at)) {
      throw new BellmouthError({
        code: "E_ORDER",
        message: "two runs cannot begin at the same moment: the order is what tells a drift from an effect",
        found: `"${earlier.id}" and "${run.id}" at ${run.at} s`,
        accepted: "a time stamp of its own for every run",
        at: { path: `runs.${run.id}.at` },
      });
    }
  });
  return sorted;
}

function requireRun(run: TrialRun, quantity: TrialQuantity): void {
  const path = `runs.${run.id}`;
  requireNumber(run.at, `${path}.at`, "s");
  requireNumber(run.air.pressure, `${path}.air.pressure`, "Pa", { from: 20_000, to: 120_000 });
  requireNumber(run.air.temperature, `${path}.air.temperature`, "K", { from: 220, to: 340 });
  const column = run.samples[quantity];
  if (column === undefined) {
    throw new BellmouthError({
      code: "E_SHAPE",
      message: `to compare ${quantity}, every run needs samples of it`,
      found: `none in "${run.id}"`,
      accepted: `a column samples.${quantity}`,
      at: { path: `${path}.samples` },
    });
  }
  if (column.length !== run.samples.speed.length) {
    throw new BellmouthError({
      code: "E_SHAPE",
      message: "samples are columns of equal length",
      found: `${run.samples.speed.length} speeds and ${column.length} values`,
      accepted: "as many values as speeds",
      at: { path: `${path}.samples` },
    });
  }
  const present = column.filter(
    (value, i) => !Number.isNaN(value) && !Number.isNaN(run.samples.speed[i] as number),
  ).length;
  const least = run.form === "log" ? AT_LEAST_SAMPLES : 1;
  if (present < least) {
    tooLittle(
      "a run has too few samples",
      `${present} in "${run.id}"`,
      run.form === "log" ? `${AT_LEAST_SAMPLES} or more around each point` : "a value at one point or more",
      `${path}.samples`,
    );
  }
  column.forEach((value, i) => {
    const speed = run.samples.speed[i] as number;
    if (Number.isNaN(value) || Number.isNaN(speed)) return;
    if (!(speed >= 0 && speed <= FASTEST)) {
      throw new BellmouthError({
        code: "E_DOMAIN",
        message: "an engine speed that no engine has: probably rpm where rev/s are meant",
        found: `${speed} rev/s`,
        accepted: `0 to ${FASTEST} rev/s`,
        at: { path: `${path}.samples.speed[${i}]` },
      });
    }
    requireSample(value, quantity, `${path}.samples.${quantity}[${i}]`);
  });
}

/** Values that no intake manifold has are named by the mistake they come from. */
function requireSample(value: number, quantity: TrialQuantity, path: string): void {
  const pressure = quantity === "pressure";
  const { from, to, unit, mistake } = pressure
    ? {
        from: 2000,
        to: 600_000,
        unit: "Pa",
        mistake: "a gauge reading given as absolute, or kPa, psi or bar",
      }
    : { from: 200, to: 500, unit: "K", mistake: "degrees Celsius or Fahrenheit" };
  if (value >= from && value <= to) return;
  throw new BellmouthError({
    code: "E_DOMAIN",
    message: `a ${quantity} that no intake has: probably ${mistake} where ${pressure ? "absolute Pa" : "K"} are meant`,
    found: `${value} ${unit}`,
    accepted: `${from} to ${to} ${unit}`,
    at: { path },
  });
}

/**
 * Checks the points at which runs are compared.
 *
 * @param points engine speeds [rev/s], rising, one or more
 * @throws `E_TOO_LITTLE_DATA` without points, `E_ORDER`, `E_DOMAIN`
 */
export function requirePoints(points: readonly RotationalSpeed[]): void {
  if (points.length === 0) {
    tooLittle(
      "a trial needs the engine speeds at which to compare",
      "no points",
      "one speed or more",
      "points",
    );
  }
  points.forEach((point, i) => {
    requireNumber(point, `points[${i}]`, "rev/s", { over: 0, to: FASTEST });
    if (i > 0 && !(point > (points[i - 1] as number))) {
      throw new BellmouthError({
        code: "E_ORDER",
        message: "the points of a trial must rise",
        found: `${point} after ${points[i - 1]} rev/s`,
        accepted: "rising speeds",
        at: { path: `points[${i}]` },
      });
    }
  });
}
