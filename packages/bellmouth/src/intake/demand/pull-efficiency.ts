import { DRY_AIR_GAS_CONSTANT } from "../../air/index.js";
import { BellmouthError, requireNumber } from "../../fault/index.js";
import type { Uncertain } from "../../sensor/index.js";
import { type Pressure, pascals, type RotationalSpeed, toRpm, type Volume } from "../../units/index.js";

/** One moment of a pull: engine speed [rev/s], metered air [kg/s], manifold pressure, absolute [Pa], air into the engine [K]. */
export interface PullSample {
  readonly speed: number;
  readonly flow: number;
  readonly manifoldPressure: number;
  readonly chargeTemperature: number;
}

/** Volumetric efficiency measured at one speed. */
export interface PullEfficiency {
  /** [1]; u from the samples' scatter, the meter's table and the manifold's density */
  readonly efficiency: Uncertain;
  /** samples near full load that it rests on */
  readonly samples: number;
  /** mean of those samples, absolute [Pa] */
  readonly manifoldPressure: Pressure;
  /** speeds that the pull has near full load [rev/s] */
  readonly from: number;
  readonly to: number;
}

/** Share of the greatest manifold pressure from which a sample counts as near full load [1]; chosen. */
const FULL_LOAD = 0.9;
/** Samples within this share of the speed asked for tell it [1]; chosen. */
const NEAR = 0.05;
const FEWEST = 6;

/**
 * Volumetric efficiency that a pull shows at one engine speed: flow over displacement filled at manifold density, by a
 * straight line over speed through the samples near it. The scatter of single samples is not divided by their number:
 * neighbours in a pull are not independent. Density is that of dry air.
 *
 * @param pull   samples in any order; NaN where a reading is missing
 * @param engine displacement [m^3], strokes of a cycle, speed asked for [rev/s]
 * @param u      relative standard uncertainties [1]: of the table that the flow was read through, of the manifold's density
 * @throws `E_TOO_LITTLE_DATA` with fewer than 6 samples near that speed, `E_OUTSIDE` for a speed outside the pull's, `E_DOMAIN`
 * @source J. B. Heywood, Internal Combustion Engine Fundamentals (1988), eq. 2.27
 */
export function efficiencyOfPull(
  pull: readonly PullSample[],
  engine: { readonly displacement: Volume; readonly strokes: 2 | 4; readonly speed: RotationalSpeed },
  u: { readonly table: number; readonly density: number },
): PullEfficiency {
  const speed = requireNumber(engine.speed, "engine.speed", "rev/s", { over: 0 });
  requireNumber(engine.displacement, "engine.displacement", "m^3", { over: 0 });
  requireNumber(u.table, "u.table", "1", { from: 0 });
  requireNumber(u.density, "u.density", "1", { from: 0 });
  const loaded = fullLoad(pull);
  const from = loaded.reduce((least, one) => Math.min(least, one.speed), Number.POSITIVE_INFINITY);
  const to = loaded.reduce((most, one) => Math.max(most, one.speed), 0);
  if (loaded.length > 0 && !(speed >= from && speed <= to)) {
    throw new BellmouthError({
      code: "E_OUTSIDE",
      message:
        "the pull has no full load at this engine speed, and its volumetric efficiency is not carried on",
      found: rpmText(speed),
      accepted: `${rpmText(from)} to ${rpmText(to)}, or a stated volumetric efficiency`,
      at: { path: "engine.speed" },
    });
  }
  const near = loaded.filter((one) => Math.abs(one.speed / speed - 1) <= NEAR);
  if (near.length < FEWEST) {
    throw new BellmouthError({
      code: "E_TOO_LITTLE_DATA",
      message: `too few samples near full load within ${100 * NEAR} % of ${rpmText(speed)}`,
      found: `${near.length} with airflow, engine speed, manifold pressure and intake air, of ${pull.length}`,
      accepted: `${FEWEST} or more`,
      at: { path: "pull" },
    });
  }
  const swept = engine.displacement * (engine.strokes === 4 ? 0.5 : 1);
  const { value, sd } = lineAt(
    near.map((one) => ({
      x: one.speed / speed - 1,
      y:
        one.flow /
        ((one.manifoldPressure / (DRY_AIR_GAS_CONSTANT * one.chargeTemperature)) * swept * one.speed),
    })),
  );
  return {
    efficiency: { value, u: Math.hypot(sd, value * u.table, value * u.density) },
    samples: near.length,
    manifoldPressure: pascals(near.reduce((sum, one) => sum + one.manifoldPressure / near.length, 0)),
    from,
    to,
  };
}

const rpmText = (speed: number): string => `${Math.round(toRpm(speed as RotationalSpeed))} rpm`;

/** Complete samples whose manifold pressure lies near the pull's greatest; one reading in twenty may be a spike. */
function fullLoad(pull: readonly PullSample[]): readonly PullSample[] {
  const whole = pull.filter((one) =>
    Object.values(one).every((value) => Number.isFinite(value) && value > 0),
  );
  const pressures = whole.map((one) => one.manifoldPressure).sort((a, b) => a - b);
  const top = pressures[Math.floor(0.95 * (pressures.length - 1))] ?? 0;
  return whole.filter((one) => one.manifoldPressure >= FULL_LOAD * top);
}

/** Least-squares line at x = 0, and the standard deviation of single points about it. */
function lineAt(points: readonly { readonly x: number; readonly y: number }[]): {
  value: number;
  sd: number;
} {
  const n = points.length;
  const mean = (of: (point: { x: number; y: number }) => number): number =>
    points.reduce((sum, point) => sum + of(point), 0) / n;
  const [mx, my] = [mean(({ x }) => x), mean(({ y }) => y)];
  const sxx = mean(({ x }) => (x - mx) ** 2);
  const slope = sxx > 0 ? mean(({ x, y }) => (x - mx) * (y - my)) / sxx : 0;
  const square = points.reduce((sum, { x, y }) => sum + (y - my - slope * (x - mx)) ** 2, 0);
  return { value: my - slope * mx, sd: Math.sqrt(square / (n - 2)) };
}
