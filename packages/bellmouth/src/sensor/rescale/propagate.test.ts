import { describe, expect, it } from "vitest";
import { seededRandom } from "../../fit/index.js";
import { summariseDraws } from "./draws.js";
import { propagate, propagateByDraws } from "./propagate.js";

describe("summariseDraws", () => {
  it("mean, deviation and the order statistics of a known set", () => {
    const values = Float64Array.from({ length: 1000 }, (_, i) => ((i * 389) % 1000) + 1);
    const { mean, u, low, high } = summariseDraws(values);
    expect(mean).toBeCloseTo(500.5, 10);
    expect(u).toBeCloseTo(Math.sqrt((1000 * 1001) / 12), 9);
    expect(low).toBe(25);
    expect(high).toBe(975);
  });
  it("ties, and a spread small against the value", () => {
    expect(summariseDraws(new Float64Array(200).fill(7))).toEqual({ mean: 7, u: 0, low: 7, high: 7 });
    const far = Float64Array.from({ length: 1000 }, (_, i) => 1e9 + (i % 2));
    expect(summariseDraws(far).u).toBeCloseTo(0.5, 3);
  });
});

describe("propagate and propagateByDraws", () => {
  const sum = ([a, b]: readonly number[]): number[] => [
    (a as number) + (b as number),
    (a as number) - (b as number),
  ];
  const inputs = [
    { value: 1, u: 3 },
    { value: 2, u: 4 },
  ];
  it("independent inputs add in quadrature", () => {
    const { values, u, covariance } = propagate(sum, inputs);
    expect(values).toEqual([3, -1]);
    expect(u[0]).toBeCloseTo(5, 12);
    expect(covariance[0]?.[1]).toBeCloseTo(9 - 16, 12);
  });
  it("correlated inputs, by both ways", () => {
    const correlation = [
      [1, 0.5],
      [0.5, 1],
    ];
    const wanted = Math.sqrt(9 + 16 + 2 * 0.5 * 12);
    expect(propagate(sum, inputs, { correlation }).u[0]).toBeCloseTo(wanted, 12);
    const drawn = propagateByDraws(sum, inputs, { correlation, random: seededRandom(1), draws: 40_000 });
    expect(Math.abs((drawn[0]?.u as number) / wanted - 1)).toBeLessThan(0.015);
  });
  it("refuses what it cannot draw", () => {
    const random = seededRandom(1);
    const correlation = [
      [1, 0.5],
      [0.5, 1],
    ];
    expect(() => propagate(sum, [{ value: 1, u: -1 }])).toThrow(/inputs\[0\]\.u/);
    expect(() => propagate(sum, inputs, { correlation: [[1]] })).toThrow(/correlation/);
    expect(() =>
      propagateByDraws(
        sum,
        [
          { value: 1, u: 1, spread: "rectangular" },
          { value: 2, u: 4 },
        ],
        { correlation, random, draws: 500 },
      ),
    ).toThrow(/rectangular/);
    expect(() => propagateByDraws(sum, inputs, { random, draws: 5 })).toThrow(/draws/);
  });
});
