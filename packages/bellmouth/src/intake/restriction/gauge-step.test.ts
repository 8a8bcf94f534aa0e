import { describe, expect, it } from "vitest";
import { seededRandom } from "../../fit/index.js";
import { roundingCorrelation } from "./gauge-step.js";

describe("roundingCorrelation", () => {
  it("is 1 for the same pressure, -1/2 half a step apart", () => {
    expect(roundingCorrelation(0, 0)).toBe(1);
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
