import { describe, expect, it } from "vitest";
import { placeBreakpoints, regridCurve, type TargetLine } from "./index.js";

const power = (n: number): TargetLine => ({ kind: "line", quantity: "mass flow", at: (x) => x ** n });

/** Greatest distance of x^n from its chord on a … b, where the slopes agree. */
function chord(n: number, a: number, b: number): number {
  const slope = (b ** n - a ** n) / (b - a);
  const x = (slope / n) ** (1 / (n - 1));
  return a ** n + slope * (x - a) - x ** n;
}

/** Knots on 0 … 1 with one chord error in all segments: each found from the one before it by halving. */
function equalKnots(n: number, count: number): number[] {
  const chain = (error: number): number[] => {
    const knots = [0];
    for (let i = 1; i < count; i++) {
      const left = knots[i - 1] as number;
      let [low, high] = [left, 2];
      for (let turn = 0; turn < 60; turn++) {
        const middle = (low + high) / 2;
        if (chord(n, left, middle) < error) low = middle;
        else high = middle;
      }
      knots.push(low);
    }
    return knots;
  };
  let [low, high] = [0, 1];
  for (let turn = 0; turn < 60; turn++) {
    const middle = (low + high) / 2;
    if ((chain(middle).at(-1) as number) < 1) low = middle;
    else high = middle;
  }
  return chain(low);
}

describe("placeBreakpoints", () => {
  it("S16: stands in geometric progression for a power law in relative terms, whatever the power", () => {
    for (const n of [2, 3, 4.5, 7]) {
      const placed = placeBreakpoints(power(n), { from: 1, to: 10, count: 11, error: "relative" });
      placed.forEach((x, i) => {
        expect(Math.abs(x / 10 ** (i / 10) - 1)).toBeLessThan(0.003);
      });
    }
  });
  it("S16: has equal chord errors for x^n in absolute terms: even for a parabola, known by halving for others", () => {
    for (const n of [2, 3, 4, 6]) {
      const placed = placeBreakpoints(power(n), { from: 0, to: 1, count: 12, error: "absolute" });
      const known = n === 2 ? Array.from({ length: 12 }, (_, i) => i / 11) : equalKnots(n, 12);
      placed.forEach((x, i) => {
        expect(Math.abs(x - (known[i] as number))).toBeLessThan(0.004);
      });
    }
  });
  it("S16: errs far less than even breakpoints, and alike in every segment as executed", () => {
    const law: TargetLine = { kind: "line", quantity: "mass flow", at: (f) => 1e-14 * f ** 3.4 + 1e-6 * f };
    const common = { fit: "minimax", error: "relative", outside: "hold" } as const;
    const worst = (values: readonly number[]) =>
      Math.abs(regridCurve(law, { quantity: "frequency", values }, common).executed.worst.error);
    const even = worst(Array.from({ length: 21 }, (_, i) => 1000 + 500 * i));
    const placed = placeBreakpoints(law, { from: 1000, to: 11_000, count: 21, error: "relative" });
    expect(worst(placed)).toBeLessThan(even / 3);
    expect(placed.every((x) => Number.isInteger(x))).toBe(true);
    const cells = regridCurve(law, { quantity: "frequency", values: placed }, common).executed.cells;
    const errors = cells.slice(1, -1).map(({ lowest, highest }) => Math.max(-lowest.error, highest.error));
    expect(Math.max(...errors) / Math.min(...errors)).toBeLessThan(1.3);
  });
  it("asks for a span and a count", () => {
    expect(() => placeBreakpoints(power(2), { from: 2, to: 1, count: 5, error: "relative" })).toThrow(
      /span\.to/,
    );
    expect(() => placeBreakpoints(power(2), { from: 1, to: 2, count: 1, error: "relative" })).toThrow(
      /count/,
    );
  });
});
