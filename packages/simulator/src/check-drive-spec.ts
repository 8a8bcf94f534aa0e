import { BellmouthError, requireNumber } from "bellmouth";
import type { DriveSpec } from "./drive-spec.js";

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
}
