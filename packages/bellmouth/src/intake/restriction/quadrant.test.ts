import { describe, expect, it } from "vitest";
import { type CoefficientPair, nonNegativePair } from "./quadrant.js";

/** Cost of a point in the metric of the pair's covariance. */
function cost(pair: CoefficientPair, linear: number, square: number): number {
  const { varianceLinear: v, varianceSquare: w, covariance: c } = pair;
  const [x, y] = [linear - pair.linear, square - pair.square];
  return (w * x * x - 2 * c * x * y + v * y * y) / (v * w - c * c);
}

describe("nonNegativePair", () => {
  it.each([
    [-1, 3, 1, 1, -0.5],
    [2, -0.4, 1, 0.3, -0.5],
    [-2, -1, 1, 1, 0.2],
    [-0.3, 0.1, 2, 0.05, -0.3],
    [1, 2, 1, 1, 0],
    [-3, 1, 1, 1, 0.95],
  ])("finds the least cost in the quadrant: a %d, b %d", (linear, square, v, w, c) => {
    const pair = { linear, square, varianceLinear: v, varianceSquare: w, covariance: c };
    const found = nonNegativePair(pair);
    expect(found.linear).toBeGreaterThanOrEqual(0);
    expect(found.square).toBeGreaterThanOrEqual(0);
    let least = Number.POSITIVE_INFINITY;
    for (let x = 0; x <= 6; x += 0.01)
      for (let y = 0; y <= 6; y += 0.01) least = Math.min(least, cost(pair, x, y));
    expect(cost(pair, found.linear, found.square)).toBeLessThanOrEqual(least + 1e-9);
  });
});
