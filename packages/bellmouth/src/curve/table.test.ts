import { describe, expect, it } from "vitest";
import {
  evaluateTable,
  makeTable,
  regridTable,
  type Table,
  type TargetSurface,
  tableEvaluator,
} from "./index.js";

const table = (over: Partial<Table> = {}): Table =>
  makeTable({
    x: { quantity: "voltage", values: [0, 1, 3] },
    y: { quantity: "mass flow", values: [0, 2] },
    z: { quantity: "temperature", values: [10, 20, 30, 50, 70, 60] },
    outside: "hold",
    ...over,
  });

describe("evaluateTable", () => {
  it("is bilinear inside and holds its edges", () => {
    expect(evaluateTable(table(), 0.5, 1)).toBe(27.5);
    expect(evaluateTable(table(), 2, 0)).toBe(50);
    expect(evaluateTable(table(), 2, 0.5)).toBe(51.25);
    expect(evaluateTable(table(), 9, 9)).toBe(60);
    expect(evaluateTable(table(), -1, 1)).toBe(15);
    expect(evaluateTable(table(), Number.POSITIVE_INFINITY, -1)).toBe(70);
  });
  it("gives NaN for a missing coordinate and refuses outside when told to", () => {
    expect(evaluateTable(table(), Number.NaN, 1)).toBeNaN();
    expect(tableEvaluator(table({ outside: "refuse" }))(1, Number.NaN)).toBeNaN();
    expect(() => evaluateTable(table({ outside: "refuse" }), 4, 1)).toThrow(/x: .*0 to 3.*E_OUTSIDE/);
    expect(() => tableEvaluator(table({ outside: "refuse" }))(1, 2.5)).toThrow(/y: .*E_OUTSIDE/);
  });
});

describe("makeTable", () => {
  it.each([
    ["E_SHAPE", { z: { quantity: "temperature", values: [1, 2, 3] } }],
    ["E_SHAPE", { y: { quantity: "mass flow", values: [1] } }],
    ["E_ORDER", { x: { quantity: "voltage", values: [0, 1, 1] } }],
    ["E_DOMAIN", { x: { quantity: "voltage", values: [0, 1, Number.NaN] } }],
    ["E_DOMAIN", { z: { quantity: "temperature", values: [1, 2, 3, 4, 5, Number.NaN] } }],
  ] as const)("reports %s for %j", (code, over) => {
    expect(() => table(over)).toThrow(code);
  });
});

describe("regridTable", () => {
  const x = { quantity: "voltage", values: [0, 1, 2, 3] } as const;
  const y = { quantity: "mass flow", values: [0, 1, 2] } as const;
  const bowl: TargetSurface = { kind: "surface", quantity: "temperature", at: (a, b) => 300 + a * a + b * b };
  const options = { error: "absolute", outside: "hold" } as const;

  it("returns the table itself when its breakpoints are among the new ones", () => {
    const fit = regridTable(table(), x, y, { fit: "minimax", ...options });
    expect(fit.ideal.z.values).toEqual([10, 15, 20, 30, 40, 50, 50, 52.5, 55, 70, 65, 60]);
    expect(fit.executed.worst.error).toBe(0);
  });
  it("halves the error of sampling a bowl", () => {
    // Bilinear interpolation of a^2 + b^2 is high by 1/4 + 1/4 in the middle of a unit cell; lowered, by half of it.
    const sampled = regridTable(bowl, x, y, { fit: "sample", ...options }).executed.worst;
    const fitted = regridTable(bowl, x, y, { fit: "minimax", ...options }).executed.worst;
    expect(sampled).toMatchObject({ x: 0.5, y: 0.5, error: 0.5, interpolation: 0.5, storage: 0 });
    expect(Math.abs(fitted.error)).toBeLessThan(0.26);
  });
  it("reports storage and clipping apart", () => {
    const storage = { z: { step: 1, offset: 0.5, from: 0.5, to: 312 } };
    const fit = regridTable(bowl, x, y, { fit: "sample", storage, ...options });
    const last = fit.executed.cells.at(-1);
    expect(fit.stored.z.values.at(-1)).toBe(311.5);
    expect(fit.flags.at(-1)).toEqual(["clipped"]);
    expect(last?.lowest).toMatchObject({
      x: 3,
      y: 2,
      interpolation: 0,
      storage: 0.5,
      clipping: -2,
      error: -1.5,
    });
  });
  it("keeps rows and columns rising", () => {
    const ramp: TargetSurface = { ...bowl, at: (a, b) => Math.tanh(4 * (a - 1.2)) + 1e-3 * a + 0.01 * b };
    const { values } = regridTable(ramp, x, y, { fit: "minimax", ...options }).ideal.z;
    for (let k = 3; k < values.length; k++) expect(values[k]).toBeGreaterThan(values[k - 3] as number);
    const across: TargetSurface = { ...ramp, at: (a, b) => ramp.at(b, a) };
    const turned = regridTable(across, y, x, { fit: "minimax", ...options }).ideal.z.values;
    for (let k = 0; k < turned.length; k++)
      if (k % x.values.length !== 0) expect(turned[k]).toBeGreaterThan(turned[k - 1] as number);
  });
});
