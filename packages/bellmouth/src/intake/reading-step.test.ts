import { describe, expect, it } from "vitest";
import { seededRandom } from "../fit/index.js";
import { roundingCorrelation, roundingHarmonics, stepOf } from "./reading-step.js";

describe("roundingCorrelation", () => {
  it("is 1 for the same pressure, -1/2 half a step apart", () => {
    expect(roundingCorrelation(0, 0)).toBeCloseTo(1, 12);
    expect(roundingCorrelation(0.5, 0)).toBeCloseTo(-0.5, 1);
  });
  it.each([
    [0, 0.1],
    [0.1, 0],
    [0.25, 0.05],
    [0.4, 0.15],
    [0, 0.5],
  ])("agrees with rounding drawn at random: %d apart, noise %d", (apart, noise) => {
    const random = seededRandom(7);
    const n = 60_000;
    let product = 0;
    let square = 0;
    for (let i = 0; i < n; i++) {
      const base = random.uniform();
      const rounding = (x: number): number => Math.round(x) - x;
      const e = rounding(base + noise * random.normal());
      const f = rounding(base + apart + noise * random.normal());
      product += e * f;
      square += (e * e + f * f) / 2;
    }
    // Monte Carlo error of the correlation is about 0.005; the dropped harmonics are worth 0.1 at most near apart = 0.
    expect(Math.abs(product / square - roundingCorrelation(apart, noise))).toBeLessThan(0.05);
  });
});

describe("stepOf", () => {
  it("finds the step that readings are multiples of", () => {
    expect(stepOf([500, 750, 1250, 250])).toBeCloseTo(250, 9);
    expect(stepOf([94.1, 93.7, 92.2].map((value) => 1000 * value))).toBeCloseTo(100, 6);
    const psi = 6894.757293168361;
    expect(stepOf([13.7, 13.5, 13.8, 13.1].map((value) => value * psi))).toBeCloseTo(0.1 * psi, 6);
  });
  it("finds none where readings have none, and cannot from one value", () => {
    const random = seededRandom(3);
    expect(stepOf(Array.from({ length: 20 }, () => 1e4 * random.uniform()))).toBe(0);
    expect(stepOf([500, 500, Number.NaN, 500])).toBeNull();
    expect(stepOf([])).toBeNull();
  });
  it("harmonics of the rounding sum to the variance of a uniform error", () => {
    expect(roundingHarmonics(12).reduce((sum, one) => sum + one, 0)).toBeCloseTo(12, 10);
  });
});
