import { describe, expect, it } from "vitest";
import { effectOfMeans, pointEffects, pooledEffect } from "./run-effect.js";

const options = { drift: "linear", confidence: 0.95 } as const;

describe("effectOfMeans", () => {
  it("without drift is the two-sample t interval: hours of sleep gained with two drugs", () => {
    // Student, "The probable error of a mean", Biometrika 6 (1908) 1; interval of the difference by SciPy 1.17.1.
    const first = [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0];
    const second = [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4];
    const all = [...first, ...second];
    const effect = effectOfMeans(
      all,
      { after: all.map((_, i) => i >= 10), time: all.map((_, i) => i) },
      { ...options, drift: "none" },
    );
    expect(effect.value).toBeCloseTo(1.58, 10);
    expect(effect.estimate?.degreesOfFreedom).toBe(18);
    expect(effect.estimate?.from).toBeCloseTo(-0.20387403, 7);
    expect(effect.estimate?.to).toBeCloseTo(3.36387403, 7);
  });
  it("with drift is ordinary least squares", () => {
    // NumPy 2 lstsq and SciPy 1.17.1 on the same six numbers. Other implementation.
    const effect = effectOfMeans(
      [-5010, -4630, -4655, -5066, -4702, -5149],
      { after: [false, true, true, false, true, false], time: [0, 400, 900, 1300, 1750, 2400] },
      options,
    );
    expect(effect.value).toBeCloseTo(400.42230467, 6);
    expect(effect.estimate?.u).toBeCloseTo(7.67424224, 6);
    expect(effect.estimate?.from).toBeCloseTo(375.99944081525, 6);
    expect(effect.drift?.value).toBeCloseTo(-203.44478394, 6);
    expect(effect.level).toBeCloseTo(-5068.877819, 5);
    expect(effect.runSd).toBeCloseTo(9.313502607, 6);
  });
  it("uses a stated repeatability only where the runs leave nothing to judge by", () => {
    const pair = { after: [false, true], time: [0, 600] };
    expect(effectOfMeans([-5000, -4600], pair, options).estimate).toBeNull();
    const stated = effectOfMeans([-5000, -4600], pair, { ...options, repeatability: { sd: 30 } });
    expect(stated.estimate?.u).toBeCloseTo(30 * Math.SQRT2, 5);
    expect(stated.estimate?.degreesOfFreedom).toBeNull();
    expect(stated.source).toBe("stated");
    expect(stated.drift).toBeNull();
    const four = { after: [false, true, true, false], time: [0, 1, 2, 3] };
    const own = effectOfMeans([0, 1, 2, 0.5], four, { ...options, repeatability: { sd: 1e-6 } });
    expect(own.source).toBe("runs");
  });
  it("pools a repeatability that was learned from runs with these runs, by degrees of freedom", () => {
    const four = { after: [false, true, true, false], time: [0, 600, 1200, 1800] };
    const means = [-5000, -4600, -4640, -5010];
    const own = effectOfMeans(means, four, options);
    const both = effectOfMeans(means, four, { ...options, repeatability: { sd: 30, degreesOfFreedom: 5 } });
    expect(both.estimate?.degreesOfFreedom).toBe(6);
    expect(both.runSd).toBeCloseTo(Math.sqrt(((own.runSd as number) ** 2 + 5 * 900) / 6), 10);
  });
});

describe("pooledEffect", () => {
  const after = [false, true, true, false, true, false];
  const time = [0, 400, 900, 1300, 1750, 2400];
  const values = [
    [-3000, -4000, -5000],
    [-2800, -3700, -4600],
    [-2790, -3720, -4610],
    [-3010, -4020, -5040],
    [-2830, -3690, -4630],
    [-2990, -4030, -5010],
  ];
  it("is the mean of the points' effects when nothing is missing", () => {
    const table = { values, after, time };
    const pooled = pooledEffect(table, options);
    const mean = pointEffects(table, options).reduce((sum, one) => sum + (one?.value as number) / 3, 0);
    expect(pooled.value).toBeCloseTo(mean, 8);
    expect(pooled.estimate?.degreesOfFreedom).toBe(3);
  });
  it("does not take a missing hard point for a gain", () => {
    // Run 2 misses the last point, where drops are largest: its plain mean would be far too good.
    const holed = values.map((row, r) => (r === 1 ? [row[0] as number, row[1] as number, Number.NaN] : row));
    const pooled = pooledEffect({ values: holed, after, time }, options);
    expect(Math.abs(pooled.value - pooledEffect({ values, after, time }, options).value)).toBeLessThan(15);
  });
  it("leaves out a point that one side never covered, and refuses sides that share none", () => {
    const half = values.map((row, r) => (after[r] ? [row[0] as number, row[1] as number, Number.NaN] : row));
    expect(pooledEffect({ values: half, after, time }, options).points).toEqual([0, 1]);
    const none = values.map((row, r) =>
      after[r]
        ? [Number.NaN, Number.NaN, row[2] as number]
        : [row[0] as number, row[1] as number, Number.NaN],
    );
    expect(() => pooledEffect({ values: none, after, time }, options)).toThrow(/E_TOO_LITTLE_DATA/);
    expect(pointEffects({ values: none, after, time }, options)).toEqual([null, null, null]);
  });
});
