import { describe, expect, it } from "vitest";
import { seededRandom, xoshiro128 } from "./index.js";

describe("seededRandom", () => {
  it("repeats for one seed and differs between neighbours and far seeds", () => {
    const first = (seed: number): number => seededRandom(seed).uniform();
    expect(first(7)).toBe(first(7));
    const seen = new Set([0, 1, 2, 3, 2 ** 32, 2 ** 32 + 1, 2 ** 52].map(first));
    expect(seen.size).toBe(7);
  });
  it("has the mean, variance and tail of a uniform and a normal variable", () => {
    const random = seededRandom(20);
    const n = 100_000;
    let sum = 0;
    let square = 0;
    let beyond = 0;
    let uniform = 0;
    for (let i = 0; i < n; i++) {
      const z = random.normal();
      sum += z;
      square += z * z;
      if (Math.abs(z) > 1.959964) beyond++;
      uniform += random.uniform();
    }
    // four standard errors
    expect(Math.abs(sum / n)).toBeLessThan(4 / Math.sqrt(n));
    expect(Math.abs(square / n - 1)).toBeLessThan(4 * Math.sqrt(2 / n));
    expect(Math.abs(beyond / n - 0.05)).toBeLessThan(4 * Math.sqrt((0.05 * 0.95) / n));
    expect(Math.abs(uniform / n - 0.5)).toBeLessThan(4 / Math.sqrt(12 * n));
  });
  it.each([-1, 0.5, Number.NaN, 2 ** 53])("refuses %s as a seed", (seed) => {
    expect(() => seededRandom(seed)).toThrow(/E_DOMAIN/);
  });
  it("refuses an all-zero state", () => {
    expect(() => xoshiro128([0, 0, 0, 0])).toThrow(/E_DOMAIN/);
  });
});
