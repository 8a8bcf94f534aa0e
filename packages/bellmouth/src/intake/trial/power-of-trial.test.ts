import { describe, expect, it } from "vitest";
import { detectableShift, powerOfTrial } from "./power-of-trial.js";

// SciPy 1.17.1: nct.sf(t, nu, d) + nct.cdf(-t, nu, d) with t = t.ppf(0.975, nu). Other implementation.
const SCIPY: readonly (readonly [nu: number, shift: number, power: number])[] = [
  [1, 0.5, 0.0560963],
  [1, 6, 0.362184],
  [2, 2.5, 0.2995139],
  [3, 1, 0.1112749],
  [3, 6, 0.9670006],
  [5, 3.5, 0.7970054],
  [8, 2.5, 0.5930781],
  [20, 1, 0.1586637],
  [20, 3.5, 0.9142851],
  [60, 2.5, 0.6914166],
];

describe("powerOfTrial", () => {
  it.each(SCIPY)("with %d degrees of freedom and a shift of %d is %d", (nu, shift, power) => {
    expect(Math.abs(powerOfTrial(shift, nu, 0.95) - power)).toBeLessThan(1e-6);
    expect(Math.abs(powerOfTrial(-shift, nu, 0.95) - power)).toBeLessThan(1e-6);
  });
  it("is the error of the test when there is no difference", () => {
    for (const nu of [1, 2, 4, 30, null]) expect(powerOfTrial(0, nu, 0.95)).toBeCloseTo(0.05, 6);
  });
  it("refuses NaN", () => {
    expect(() => powerOfTrial(Number.NaN, 3, 0.95)).toThrow(/E_DOMAIN/);
  });
});

describe("detectableShift", () => {
  it("inverts the power", () => {
    for (const nu of [1, 2, 5, 40, null])
      expect(powerOfTrial(detectableShift(0.8, nu, 0.95), nu, 0.95)).toBeCloseTo(0.8, 5);
  });
  it("is the sum of two normal quantiles when the spread is known", () => {
    expect(detectableShift(0.8, null, 0.95)).toBeCloseTo(1.959964 + 0.841621, 4);
  });
});
