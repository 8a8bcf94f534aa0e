import { describe, expect, it } from "vitest";
import { adviseNext } from "./advice.js";
import type { RefinedCell } from "./types.js";
import type { DrivenCells } from "./where-driven.js";

const flows = [0.005, 0.01, 0.015, 0.02, 0.03, 0.05];
const u = [0.02, 0.005, 0.005, 0.005, 0.03, 0.06];
const cells = flows.map(
  (flow, i): RefinedCell => ({
    signal: i + 1,
    before: flow,
    after: flow,
    mean: flow,
    shape: { low: flow, high: flow },
    low: flow,
    high: flow,
    u: u[i]!,
    uShape: u[i]!,
    executed: { worst: 0, rms: 0 },
    priorU: 0.06,
    seconds: i < 4 ? 20 : 0,
    seen: null,
    evidence: 0.5,
    held: null,
  }),
);
const covariance = new Float64Array(36);
u.forEach((value, i) => {
  covariance[7 * i] = value ** 2;
});
/** Driven up to 20 g/s and 60 rev/s, with half a gram drawn a revolution: 31.5 g/s at full load and 63 rev/s. */
const sums = {
  seconds: [20, 20, 20, 20, 0, 0],
  places: [20, 30, 40, 60, 0, 0].map((speed) =>
    speed === 0 ? { time: 0, speed: 0, pressure: 0 } : { time: 20, speed: 20 * speed, pressure: 10 },
  ),
  filling: { sum: 80 * 0.0005, time: 80 },
  seen: [],
  noise: null,
} satisfies DrivenCells;

describe("what to drive next", () => {
  const advice = adviseNext(sums, cells, covariance);
  it("is where the table is widest, as far as the engine can go", () => {
    // Widest first; never the last cell, although it is the widest of all.
    expect(advice.map((one) => one.cells[0])).toEqual([4, 0, 1, 2]);
    expect(advice.every((one) => one.cells[1] < 5)).toBe(true);
    expect(advice[0]?.flow[1]).toBe(0.03);
  });
  it("says which speed and load reach it, and what some time there would give", () => {
    const [first] = advice;
    // 30 g/s would take 66.7 rev/s with nine tenths of the air: no faster than was seen, so nearer to full load.
    expect(first?.speed?.[0]).toBeCloseTo(63, 9);
    expect(first?.speed?.[1]).toBeCloseTo(63, 9);
    expect(first?.pressureRatio?.[1]).toBeCloseTo(0.03 / (0.0005 * 63), 9);
    expect(first?.uNow).toBeCloseTo(0.03, 12);
    expect(first?.uAfter).toBeLessThan(0.01);
  });
  it("expects the noise that the drives had on average", () => {
    const after = (variance: number): number =>
      adviseNext({ ...sums, noise: { variance, memory: 1 } }, cells, covariance)[0]!.uAfter;
    expect(after(2e-4)).toBeLessThan(after(3e-4));
  });
  it("goes a fifth beyond what was seen where speed and pressure are not logged", () => {
    const blind = { ...sums, filling: { sum: 0, time: 0 } };
    const [first] = adviseNext(blind, cells, covariance);
    expect(first?.cells).toEqual([0, 0]);
    expect(first?.speed).toBeNull();
  });
});
