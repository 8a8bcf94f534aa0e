import { BellmouthError, requireNumber } from "bellmouth";
import type { DriveSpec, FaultSpec } from "./drive-spec.js";

/** Longest drive that is simulated [s]: a day. */
const LONGEST = 86_400;

/** Throws on a drive that cannot be driven, before the first step. */
export function checkDriveSpec(spec: DriveSpec): void {
  if (spec.table.signal !== spec.car.meter.trueCurve.signal) {
    throw new BellmouthError({
      code: "E_SIGNAL_KIND",
      message: "the ECU's table is of another signal than the meter",
      found: spec.table.signal,
      accepted: spec.car.meter.trueCurve.signal,
      at: { path: "table.signal" },
    });
  }
  if (spec.cycle.length === 0) {
    throw new BellmouthError({
      code: "E_TOO_LITTLE_DATA",
      message: "a drive needs at least one piece of a cycle",
      found: "none",
      accepted: "speed, pull or idle pieces",
      at: { path: "cycle" },
    });
  }
  requireNumber(spec.duration, "duration", "s", { from: 1, to: LONGEST });
  requireNumber(spec.barometer, "barometer", "Pa", { from: 40e3, to: 120e3 });
  requireNumber(spec.ambient, "ambient", "K", { from: 230, to: 330 });
  requireNumber(spec.startCoolant, "startCoolant", "K", { from: 230, to: 363 });
  requireNumber(spec.log.rate, "log.rate", "1/s", { from: 0.1, to: 100 });
  requireNumber(spec.log.jitter, "log.jitter", "1", { from: 0, to: 0.5 });
  for (const [channel, every] of Object.entries(spec.log.refresh)) {
    requireNumber(every, `log.refresh.${channel}`, "rows", { from: 1, to: 1000 });
  }
  const { faults } = spec;
  requireNumber(faults.leakArea ?? 0, "faults.leakArea", "m^2", { from: 0, to: 1e-3 });
  requireNumber(faults.injectorGain ?? 1, "faults.injectorGain", "1", { from: 0.3, to: 3 });
  requireNumber(faults.injectorOffset ?? 0, "faults.injectorOffset", "kg", { from: -1e-4, to: 1e-4 });
  requireNumber(faults.fuelPressure ?? 1, "faults.fuelPressure", "1", { from: 0.1, to: 10 });
  requireNumber(faults.heatSoak ?? 0, "faults.heatSoak", "K", { from: -50, to: 100 });
  requireNumber(faults.exhaustLeak ?? 0, "faults.exhaustLeak", "1", { from: 0, to: 1 });
  for (const [path, unit, from, to] of LIMITS) {
    const value = numberAt(faults, path);
    if (value !== undefined) requireNumber(value, `faults.${path}`, unit, { from, to });
  }
  const error = faults.meterError;
  const { flow = [], ln = [] } = error ?? {};
  const rises = flow.every((value, i) => value > (flow[i - 1] ?? 0));
  if (!rises || flow.length !== ln.length || !ln.every((value) => Math.abs(value) <= 0.5)) {
    throw new BellmouthError({
      code: "E_DOMAIN",
      message: "a meter's error needs rising flows and an error for each",
      found: `${flow.length} flows, ${ln.length} errors`,
      accepted: "as many errors, ln, within -0.5 to 0.5, as flows above 0, each above the one before",
      at: { path: "faults.meterError" },
    });
  }
}

/** What each of the larger faults' numbers may be, in SI. */
const LIMITS: readonly (readonly [path: string, unit: string, from: number, to: number])[] = [
  ["fuelSag.capacity", "kg/s", 1e-5, 1],
  ["fuelSag.slope", "1", 0, 10],
  ["fuelSag.time", "s", 0, 60],
  ["fuelSag.fade", "1/h", 0, 2],
  ["pulsation.amplitude", "1", 0, 3],
  ["pulsation.speed", "1/s", 1, 500],
  ["pulsation.width", "1", 0.01, 3],
  ["pulsation.loadFrom", "1", 0, 0.99],
  ["purge.area", "m^2", 0, 1e-4],
  ["purge.richness", "1", 0, 1],
  ["purge.emptying", "kg", 1e-6, 100],
  ["purge.period", "s", 1, 3600],
  ["purge.duty", "1", 0, 1],
  ["blend.modelBelow", "1/s", 0, 500],
  ["blend.meterAbove", "1/s", 0, 500],
  ["blend.share", "1", 0, 1],
  ["blend.error.lowLoad", "1", -0.5, 0.5],
  ["blend.error.fullLoad", "1", -0.5, 0.5],
  ["meterError.soak", "1", -0.5, 0.5],
  ["lambdaSensor.offset", "1", -0.3, 0.3],
  ["lambdaSensor.drift", "1/h", -0.3, 0.3],
  ["lambdaSensor.slope", "1", -0.9, 3],
  ["lambdaSensor.stuckFrom", "s", 0, LONGEST],
];

/** The number at a path of the faults; nothing where the fault or the number is left out. */
function numberAt(faults: FaultSpec, path: string): number | undefined {
  let value: unknown = faults;
  for (const key of path.split(".")) value = (value as Record<string, unknown> | undefined)?.[key];
  return value as number | undefined;
}
