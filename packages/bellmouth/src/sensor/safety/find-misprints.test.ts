import { describe, expect, it } from "vitest";
import { findMisprints } from "./find-misprints.js";

const signals = Array.from({ length: 31 }, (_, i) => 1200 + 320 * i);
const flows = signals.map((f) => 0.0004 * Math.expm1(f / 2000));
const bent = (cell: number, factor: number): readonly number[] =>
  flows.map((flow, i) => (i === cell ? flow * factor : flow));

describe("findMisprints", () => {
  it("S12: names the one cell that is 3 % off, what it should be, and nothing in the table as it was", () => {
    expect(findMisprints(signals, flows).misprints).toEqual([]);
    const { misprints, scatter, detectable } = findMisprints(signals, bent(20, 0.97));
    expect(misprints).toHaveLength(1);
    expect(misprints[0]).toMatchObject({ cell: 20, signal: signals[20], flow: flows[20]! * 0.97 });
    expect(misprints[0]?.expected).toBeCloseTo(flows[20]!, 5);
    expect(misprints[0]?.deviation).toBeCloseTo(-0.03, 3);
    expect(scatter).toBeLessThan(0.003);
    expect(detectable).toBeLessThan(0.03);
  });
  it("S12: finds two of them", () => {
    const two = bent(9, 1.05).map((flow, i) => (i === 22 ? flow * 0.94 : flow));
    expect(
      findMisprints(signals, two)
        .misprints.map(({ cell }) => cell)
        .sort((a, b) => a - b),
    ).toEqual([9, 22]);
  });
  it("passes over rounding and cells without flow", () => {
    const step = 1e-5;
    const rounded = [0, 0, ...flows.map((flow) => Math.round(flow / step) * step)];
    expect(findMisprints([500, 800, ...signals], rounded, { step }).misprints).toEqual([]);
  });
  it("says that a short table cannot be judged", () => {
    expect(findMisprints(signals.slice(0, 8), flows.slice(0, 8))).toEqual({
      misprints: [],
      scatter: 0,
      detectable: null,
    });
  });
  it("refuses lists of unequal length and numbers that are none", () => {
    expect(() => findMisprints([1, 2], [1])).toThrow(/E_SHAPE/);
    expect(() => findMisprints([1, Number.NaN], [1, 2])).toThrow(/E_DOMAIN/);
    expect(() => findMisprints(signals, flows, { step: 0 })).toThrow(/E_DOMAIN/);
  });
});
