import { describe, expect, it } from "vitest";
import { seededRandom } from "./random.js";

describe("seededRandom", () => {
  it("repeats by seed and differs between neighbouring seeds", () => {
    const take = (seed: number) => {
      const random = seededRandom(seed);
      return Array.from({ length: 5 }, () => random.uniform());
    };
    expect(take(3)).toEqual(take(3));
    expect(take(3)).not.toEqual(take(4));
  });

  it("has the moments of the uniform and the normal distribution", () => {
    const random = seededRandom(11);
    const count = 200_000;
    const uniform = Array.from({ length: count }, () => random.uniform());
    const normal = Array.from({ length: count }, () => random.normal());
    const mean = (values: readonly number[], power: number): number =>
      values.reduce((sum, value) => sum + value ** power, 0) / values.length;
    // Exact moments: 1/2, 1/3; 0, 1, 0, 3. Limits are five standard errors of each.
    const within = (found: number, exact: number, variance: number): void =>
      expect(Math.abs(found - exact)).toBeLessThan(5 * Math.sqrt(variance / count));
    within(mean(uniform, 1), 1 / 2, 1 / 12);
    within(mean(uniform, 2), 1 / 3, 4 / 45);
    within(mean(normal, 1), 0, 1);
    within(mean(normal, 2), 1, 2);
    within(mean(normal, 3), 0, 15);
    within(mean(normal, 4), 3, 96);
    expect(uniform.every((value) => value >= 0 && value < 1)).toBe(true);
  });
});
