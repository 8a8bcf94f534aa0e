import { describe, expect, it } from "vitest";
import { isentropicRatios } from "../../air/index.js";
import { actualDrop, machAtStation, reducedDrop, totalPressure } from "./station-pressure.js";

describe("machAtStation", () => {
  it.each([0.02, 0.1, 0.3, 0.6])("recovers Mach %d from flow and static pressure", (mach) => {
    const ratios = isentropicRatios(mach);
    const [p0, T0, area, gasConstant] = [101325, 300, 0.004, 287.05];
    const flow = (ratios.massFlux * p0 * area) / Math.sqrt(gasConstant * T0);
    const stream = { pressure: p0 * ratios.pressure, temperature: T0, flow, area, gasConstant };
    expect(machAtStation(stream)).toBeCloseTo(mach, 12);
    expect(totalPressure(stream) / p0).toBeCloseTo(1, 12);
  });
});

describe("reducedDrop", () => {
  it("adds up along a tract where actual drops do not", () => {
    // Two equal losses by p1^2 - p2^2 = constant.
    const p0 = 100_000;
    const first = reducedDrop(4000, p0);
    const second = actualDrop(2 * first, p0) - 4000;
    expect(second).toBeGreaterThan(4000);
    expect((p0 - 4000) ** 2 - (p0 - 4000 - second) ** 2).toBeCloseTo(p0 ** 2 - (p0 - 4000) ** 2, 2);
  });
  it("and its reverse are one another's inverse", () => {
    for (const drop of [0, 1e-6, 3, 500, 30_000])
      expect(actualDrop(reducedDrop(drop, 99_000), 99_000)).toBeCloseTo(drop, 8);
  });
});
