import { describe, expect, it } from "vitest";
import { executedError, makeCurve, type TargetLine } from "./index.js";

const square: TargetLine = { kind: "line", quantity: "mass flow", at: (x) => x * x };
const lines = (values: readonly number[], outside: "hold" | "extend" = "hold") =>
  makeCurve({
    x: { quantity: "voltage", values: [1, 3] },
    y: { quantity: "mass flow", values },
    between: "straight",
    outside,
  });

describe("executedError", () => {
  it("finds the top of a chord, known by hand", () => {
    // The chord of x^2 over 1 … 3 is 4x - 3: high by 1 at 2 in absolute terms; relative, (4x - 3)/x^2 - 1 is
    // greatest at x = 3/2, where it is 1/3.
    const absolute = executedError(square, { executed: lines([1, 9]) }, { error: "absolute" });
    expect(absolute.worst).toMatchObject({ x: expect.closeTo(2, 9), error: expect.closeTo(1, 12) });
    const relative = executedError(square, { executed: lines([1, 9]) }, { error: "relative" });
    expect(relative.worst).toMatchObject({ x: expect.closeTo(1.5, 5), error: expect.closeTo(1 / 3, 9) });
    expect(relative.cells[0]?.lowest.error).toBe(0);
    // The second cell begins at 2, where the error is 1/4 and falling.
    expect(relative.cells[1]?.highest).toMatchObject({ x: 2, error: 0.25 });
  });
  it("judges beyond the breakpoints when asked to", () => {
    const held = executedError(square, { executed: lines([1, 9]) }, { error: "absolute", from: 0, to: 4 });
    expect(held.cells[0]?.highest).toMatchObject({ x: expect.closeTo(0, 12), error: expect.closeTo(1, 12) });
    expect(held.cells[1]?.lowest).toMatchObject({ x: 4, error: -7, interpolation: -7 });
    expect(held.worst.x).toBe(4);
  });
  it("splits the error by stage", () => {
    const stages = { ideal: lines([1, 9]), unclipped: lines([1.25, 9]), executed: lines([1.25, 8]) };
    const { cells } = executedError(square, stages, { error: "absolute" });
    expect(cells[1]?.lowest).toMatchObject({ x: 3, interpolation: 0, storage: 0, clipping: -1, error: -1 });
    expect(cells[0]?.lowest).toMatchObject({ x: 1, interpolation: 0, storage: 0.25, clipping: 0 });
  });
  it("counts a relative error over the floor where the target is below it, and finds the bend", () => {
    const target = makeCurve({
      x: { quantity: "voltage", values: [0, 4] },
      y: { quantity: "mass flow", values: [0, 4] },
      between: "straight",
      outside: "hold",
    });
    // Read 0.5 high everywhere: 0.5/1 up to the floor, 0.5/x beyond.
    const high = makeCurve({ ...target, y: { quantity: "mass flow", values: [0.5, 4.5] } });
    const report = executedError(target, { executed: high }, { error: "relative", floor: 3 });
    expect(report.worst.error).toBeCloseTo(0.5 / 3, 14);
    expect(report.cells[1]?.lowest).toMatchObject({ x: 4, error: 0.125 });
    expect(() => executedError(target, { executed: high }, { error: "relative" })).toThrow(/floor.*E_DOMAIN/);
    expect(() => executedError(target, { executed: high }, { error: "relative", floor: 0 })).toThrow(
      /E_DOMAIN/,
    );
  });
});
