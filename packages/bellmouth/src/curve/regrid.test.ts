import { describe, expect, it } from "vitest";
import {
  type Axis,
  evaluateCurve,
  makeCurve,
  type RegridOptions,
  regridCurve,
  type TargetLine,
} from "./index.js";

const line = (at: (x: number) => number): TargetLine => ({ kind: "line", quantity: "mass flow", at });
const axis = (...values: number[]): Axis => ({ quantity: "voltage", values });
const absolute = { error: "absolute", outside: "hold" } as const;
const minimax = (target: TargetLine, on: Axis, over: Partial<RegridOptions> = {}) =>
  regridCurve(target, on, { fit: "minimax", ...absolute, ...over });

describe("regridCurve", () => {
  it("halves the error of sampling a parabola: one segment, known by hand", () => {
    // x^2 on 0 … 1: the chord is 1/4 high at 1/2; lowered by 1/8 it is 1/8 off at three places (Chebyshev).
    const fit = minimax(
      line((x) => x * x),
      axis(0, 1),
    );
    expect(fit.ideal.y.values[0]).toBeCloseTo(-1 / 8, 6);
    expect(fit.ideal.y.values[1]).toBeCloseTo(7 / 8, 6);
    expect(Math.abs(fit.executed.worst.error)).toBeCloseTo(1 / 8, 6);
    expect(fit.lowerBound).toBeCloseTo(1 / 8, 6);
    expect(
      regridCurve(
        line((x) => x * x),
        axis(0, 1),
        { fit: "sample", ...absolute },
      ).executed.worst,
    ).toMatchObject({
      x: expect.closeTo(0.5, 6),
      error: expect.closeTo(1 / 4, 10),
    });
  });
  it("finds the best chain of lines through a corner", () => {
    // |x| on breakpoints -1, 1 can be followed to 1/2 and no better.
    const vee: TargetLine = { ...line(Math.abs), corners: [0] };
    const fit = minimax(vee, axis(-1, 1));
    expect(fit.ideal.y.values).toEqual([expect.closeTo(0.5, 6), expect.closeTo(0.5, 6)]);
    expect(fit.lowerBound).toBeCloseTo(0.5, 6);
  });
  it("returns the curve itself when its breakpoints are among the new ones", () => {
    const curve = makeCurve({
      x: axis(0, 1, 3),
      y: { quantity: "mass flow", values: [1, 2, 9] },
      between: "straight",
      outside: "hold",
    });
    const fit = regridCurve(curve, axis(0, 0.5, 1, 2, 3), { fit: "minimax", ...absolute });
    expect(fit.ideal.y.values).toEqual([1, 1.5, 2, 5.5, 9]);
    expect(fit.executed.worst.error).toBe(0);
  });
  it("reads the target by its own rules where the axis goes past it", () => {
    const curve = makeCurve({
      x: axis(1, 2),
      y: { quantity: "mass flow", values: [1, 2] },
      between: "straight",
      outside: "extend",
    });
    const on = axis(0.5, 1, 2, 3);
    expect(regridCurve(curve, on, { fit: "sample", ...absolute }).ideal.y.values).toEqual([0.5, 1, 2, 3]);
    const held = regridCurve({ ...curve, outside: "hold" }, on, { fit: "sample", ...absolute });
    expect(held.ideal.y.values).toEqual([1, 1, 2, 2]);
    expect(() => regridCurve({ ...curve, outside: "refuse" }, on, { fit: "minimax", ...absolute })).toThrow(
      /E_OUTSIDE/,
    );
  });
  it("keeps a rising target rising where the error alone would not", () => {
    // A long flat step between steep parts: the best lines without the rule would dip.
    const step = line((x) => 5 + 4 * Math.tanh(20 * (x - 1)) + 0.001 * x);
    const values = minimax(step, axis(0, 0.5, 0.9, 1.05, 1.5, 2)).ideal.y.values;
    for (let i = 1; i < values.length; i++) expect(values[i]).toBeGreaterThan(values[i - 1] as number);
  });
  it("asks for a floor where relative errors meet zero", () => {
    const square = line((x) => x * x);
    expect(() => minimax(square, axis(0, 1), { error: "relative" })).toThrow(/floor.*E_DOMAIN/);
    const fit = minimax(square, axis(0, 0.5, 1), { error: "relative", floor: 0.1 });
    expect(Math.abs(fit.executed.worst.error)).toBeLessThan(0.4);
  });
  it("stores breakpoints first, then fits to the breakpoints as stored, then stores values", () => {
    const fit = minimax(
      line((x) => x * x),
      axis(0.01, 1.02, 1.99),
      {
        storage: {
          x: { step: 0.25, offset: 0, from: 0, to: 8 },
          y: { step: 0.01, offset: 0, from: 0, to: 3.5 },
        },
      },
    );
    expect(fit.ideal.x.values).toEqual([0, 1, 2]);
    const { curve } = fit.stored;
    // Unconfined, the first value would be -1/8; the last is beyond the format whatever is done.
    expect(fit.ideal.y.values[0]).toBe(0);
    expect(fit.stored.yFlags).toEqual([[], [], ["clipped"]]);
    const { worst } = fit.executed;
    expect(worst.x).toBe(2);
    expect(worst.executed).toBe(evaluateCurve(curve, 2));
    expect(worst.interpolation + worst.storage + worst.clipping).toBeCloseTo(
      worst.executed - worst.target,
      14,
    );
    expect(worst.clipping).toBeCloseTo(3.5 - (fit.stored.unclipped.y.values[2] as number), 14);
  });
});
