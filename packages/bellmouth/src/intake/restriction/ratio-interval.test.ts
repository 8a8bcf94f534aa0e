import { describe, expect, it } from "vitest";
import { ratioInterval } from "./ratio-interval.js";

describe("ratioInterval", () => {
  it("ends where the contrast is t standard errors from zero: its definition", () => {
    const pair = { above: 3, below: 8, varianceAbove: 0.2, varianceBelow: 0.5, covariance: 0.12 };
    const t = 2.3;
    const { from, to } = ratioInterval(pair, t);
    for (const r of [from as number, to as number]) {
      const variance = pair.varianceAbove - 2 * r * pair.covariance + r * r * pair.varianceBelow;
      expect(Math.abs(pair.above - r * pair.below) / Math.sqrt(variance)).toBeCloseTo(t, 10);
    }
    expect(from as number).toBeLessThan(3 / 8);
    expect(to as number).toBeGreaterThan(3 / 8);
  });
  it("is the plain interval when the lower number is exact", () => {
    const { from, to } = ratioInterval(
      { above: 10, below: 4, varianceAbove: 4, varianceBelow: 0, covariance: 0 },
      2,
    );
    expect([from, to]).toEqual([1.5, 3.5]);
  });
  it("has no ends when the lower number is not distinguishable from zero", () => {
    const open = ratioInterval(
      { above: 1, below: 1, varianceAbove: 0.1, varianceBelow: 1, covariance: 0 },
      2,
    );
    expect(open).toEqual({ from: null, to: null });
  });
});
