import { describe, expect, it } from "vitest";
import { checkIncreasing, curveSlope, isotonic, makeCurve, resampleUneven, storeCurve } from "./index.js";

describe("checkIncreasing", () => {
  it("names every place that does not rise, NaN included", () => {
    expect(checkIncreasing([1, 2, 3])).toEqual([]);
    expect(checkIncreasing([1, 1, 3, Number.NaN])).toEqual([
      { index: 1, left: 1, value: 1 },
      { index: 3, left: 3, value: Number.NaN },
    ]);
  });
});

describe("isotonic", () => {
  it("pools with weights", () => {
    expect(isotonic([3, 1], [1, 3])).toEqual([1.5, 1.5]);
    expect(isotonic([])).toEqual([]);
  });
  it("refuses bad weights and lengths", () => {
    expect(() => isotonic([1, 2], [1, 0])).toThrow(/weights\[1\].*E_DOMAIN/);
    expect(() => isotonic([1, 2], [1])).toThrow(/E_SHAPE/);
    expect(() => isotonic([1, Number.NaN])).toThrow(/E_DOMAIN/);
  });
});

describe("resampleUneven", () => {
  it("bridges narrow gaps only and passes over missing samples", () => {
    const y = [0, Number.NaN, 2, 9, 5, 5];
    const out = resampleUneven([0, 1, 2, 2, 6, 7], y, [-1, 0, 1, 2, 3, 6, 6.5, 7, 8], { bridge: 2 });
    // Of the two samples at 2 the earlier ends the line from 0 and the later counts at 2.
    expect([...out]).toEqual([Number.NaN, 0, 1, 9, Number.NaN, 5, 5, 5, Number.NaN]);
  });
  it("refuses times that step back", () => {
    expect(() => resampleUneven([0, 2, 1], [0, 0, 0], [1], { bridge: 1 })).toThrow(/x\[2\].*E_ORDER/);
    expect(() => resampleUneven([0, 1], [0, 0], [Number.NaN], { bridge: 1 })).toThrow(/E_ORDER/);
    expect(() => resampleUneven([0, 1], [0, 0], [1], { bridge: 0 })).toThrow(/E_DOMAIN/);
  });
});

describe("curveSlope", () => {
  const square = (outside: "hold" | "extend", between: "straight" | "monotone cubic") =>
    makeCurve({
      x: { quantity: "ratio", values: [0, 1, 2, 3] },
      y: { quantity: "ratio", values: [0, 1, 4, 9] },
      between,
      outside,
    });
  it("is the slope of the line, and of the tangent", () => {
    expect([0, 0.5, 1, 3, 4].map((x) => curveSlope(square("hold", "straight"), x))).toEqual([1, 1, 3, 5, 0]);
    expect(curveSlope(square("extend", "straight"), 4)).toBe(5);
    const cubic = square("extend", "monotone cubic");
    // Weighted harmonic mean of 1 and 3 with equal weights, and the three-point end rule.
    expect(curveSlope(cubic, 1)).toBeCloseTo(1.5, 14);
    expect(curveSlope(cubic, 3)).toBeCloseTo(6, 14);
    expect(curveSlope(cubic, 5)).toBeCloseTo(6, 14);
    expect(curveSlope(cubic, Number.NaN)).toBeNaN();
  });
});

describe("storeCurve", () => {
  const curve = makeCurve({
    x: { quantity: "voltage", values: [0, 0.1, 0.9] },
    y: { quantity: "temperature", values: [300, 280.4, 280.3] },
    between: "straight",
    outside: "hold",
  });
  it("keeps a falling curve falling", () => {
    const stored = storeCurve(curve, { y: { step: 1, offset: 0, from: 0, to: 400 } });
    expect(stored.curve.y.values).toEqual([300, 281, 280]);
    expect(stored.yFlags).toEqual([[], ["moved"], []]);
  });
  it("refuses an axis format that makes breakpoints one", () => {
    expect(() => storeCurve(curve, { x: { step: 0.5, offset: 0, from: 0, to: 5 } })).toThrow(
      /x.values\[1\].*E_ORDER/,
    );
  });
});
