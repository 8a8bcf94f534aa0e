import { describe, expect, it } from "vitest";
import { differenceBetweenDrives } from "./between-drives.js";
import { blendedAir } from "./blended-airflow.js";
import { developmentCars } from "./development-cars.js";
import { makeFuelSag } from "./fuel-sag.js";
import { makeLambdaSensorError } from "./lambda-sensor-error.js";
import { makeMeterError } from "./meter-error.js";
import { makeNarrowBand } from "./narrow-band.js";
import { makePurge } from "./purge.js";
import { seededRandom } from "./random.js";
import { STEP } from "./step.js";

const times = <T>(seconds: number, run: () => T): T => {
  let last = run();
  for (let i = 1; i < Math.round(seconds / STEP); i++) last = run();
  return last;
};

describe("the canister's purge", () => {
  const spec = { area: 2e-6, richness: 0.2, emptying: 0.1, period: 100, duty: 0.5 };
  const warm = { coolant: 360, cut: false, load: 0.5 };

  it("opens when warm, over seconds, and shuts in a fuel cut, at high load, cold, and in its pause", () => {
    const purge = makePurge(spec);
    expect(times(1, () => purge.area(warm))).toBeCloseTo(1e-6, 8);
    expect(times(10, () => purge.area(warm))).toBe(2e-6);
    expect(purge.area({ ...warm, cut: true })).toBe(0);
    expect(times(5, () => purge.area({ ...warm, load: 0.95 }))).toBe(0);
    expect(times(5, () => purge.area({ ...warm, coolant: 320 }))).toBe(0);
    expect(times(5, () => purge.area(warm))).toBe(2e-6);
    expect(times(40, () => purge.area(warm))).toBe(0);
  });

  it("gives at most the fuel that the canister holds", () => {
    const purge = makePurge(spec);
    let given = 0;
    times(2000, () => {
      given += purge.fuel(5e-4) * STEP;
    });
    // Integral of richness exp(-drawn / emptying) over ten emptyings.
    expect(given).toBeCloseTo(spec.richness * spec.emptying * (1 - Math.exp(-10)), 5);
    expect(makePurge(undefined).fuel(5e-4)).toBe(0);
  });
});

describe("other faults by themselves", () => {
  it("blends the modelled air below a speed with the meter's", () => {
    const spec = { modelBelow: 20, meterAbove: 40, share: 0.8, error: { lowLoad: 0.1, fullLoad: -0.1 } };
    expect(blendedAir(spec, 1, 2, 50, 1)).toBe(1);
    expect(blendedAir(spec, 1, 2, 10, 1)).toBeCloseTo(0.2 * 1 + 0.8 * 1.8, 12);
    expect(blendedAir(spec, 1, 2, 30, 0.3)).toBeCloseTo(0.6 * 1 + 0.4 * 2.2, 12);
    expect(blendedAir(undefined, 1, 2, 10, 1)).toBe(1);
  });

  it("lets fuel pressure sag beyond the pump's capacity, more as it warms", () => {
    const spec = { capacity: 0.01, slope: 0.5, time: 0.3, fade: 0.2 };
    expect(makeFuelSag(spec)(0.009)).toBe(1);
    const sag = makeFuelSag(spec);
    expect(times(3, () => sag(0.012))).toBeCloseTo(0.9, 3);
    expect(times(3600, () => sag(0.012))).toBeCloseTo(1 - 0.5 * (0.012 / 0.008 - 1), 3);
  });

  it("offsets, tilts, drifts and sticks the lambda sensor", () => {
    const sensor = makeLambdaSensorError({ offset: 0.02, slope: 0.1, drift: 0.036, stuckFrom: 100 });
    expect(sensor.shown(0.9)).toBeCloseTo(0.89 * 1.02, 12);
    times(99, () => sensor.step());
    expect(sensor.shown(1)).toBeCloseTo(1.02 + 0.036 * (99 / 3600), 6);
    times(10, () => sensor.step());
    expect(sensor.stuck()).toBe(true);
    expect(sensor.shown(0.8)).toBe(sensor.shown(1.2));
    expect(makeLambdaSensorError(undefined).shown(0.8)).toBe(0.8);
  });

  it("reads a hot housing's flow wrongly at little flow only, and a drive's own error by flow", () => {
    const soaked = makeMeterError({ soak: 0.06 });
    expect(soaked(1e-4) / 1e-4).toBeGreaterThan(1.055);
    expect(times(900, () => soaked(0.1)) / 0.1).toBeCloseTo(1, 3);
    const own = makeMeterError({ flow: [0.01, 0.1], ln: [0.02, -0.01] });
    expect(own(0.005)).toBeCloseTo(0.005 * Math.exp(0.02), 12);
    expect(own(Math.sqrt(0.001))).toBeCloseTo(Math.sqrt(0.001) * Math.exp(0.005), 12);
  });

  it("tells rich from lean with hysteresis, lean only after a time", () => {
    const sensor = makeNarrowBand({ switchPoint: 1, hysteresis: 0.005, leanDelay: 0.05 });
    expect(sensor(1.003, STEP)).toBe(-1);
    for (let i = 0; i < 5; i++) expect(sensor(1.02, STEP)).toBe(-1);
    expect(sensor(1.02, STEP)).toBe(1);
    expect(sensor(0.997, STEP)).toBe(1);
    expect(sensor(0.99, STEP)).toBe(-1);
  });

  it("draws a difference between drives of the size asked for", () => {
    const random = seededRandom(3);
    const drawn = Array.from({ length: 2000 }, () =>
      differenceBetweenDrives(developmentCars[0]!, 0.01, random),
    );
    const rms = Math.sqrt(drawn.reduce((sum, { ln = [] }) => sum + (ln[1] ?? 0) ** 2, 0) / drawn.length);
    expect(Math.abs(rms / 0.01 - 1)).toBeLessThan(0.06);
  });
});
