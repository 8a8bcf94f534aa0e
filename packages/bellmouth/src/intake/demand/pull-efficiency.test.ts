import { describe, expect, it } from "vitest";
import { celsius, kilopascals, litres, rpm } from "../../units/index.js";
import { efficiencyOfPull, type PullSample } from "./pull-efficiency.js";

const engine = { displacement: litres(2.2), strokes: 4 as const };
/** Invented: 95 % at 5000 rpm, falling 2 % a 500 rpm, in air of 97 kPa and 30 degC. */
const truth = (speed: number): number => 0.95 - 0.02 * ((speed * 60 - 5000) / 500);
const at = (turns: number, wave = 0): PullSample => {
  const [manifoldPressure, chargeTemperature] = [kilopascals(97), celsius(30)];
  const speed = rpm(turns);
  const filled = (manifoldPressure / (287.05287 * chargeTemperature)) * 2.2e-3 * (speed / 2);
  return { speed, manifoldPressure, chargeTemperature, flow: filled * truth(speed) * (1 + wave) };
};
const pull = Array.from({ length: 61 }, (_, i) => at(3500 + 50 * i));

describe("efficiencyOfPull", () => {
  it("by hand: 99.5 g/s at 5000 rpm in 2.2 L, 97 kPa and 30 degC is 97.3 %", () => {
    // 97000 / (287.05287 x 303.15) = 1.11467 kg/m3; x 2.2 L x 41.667 /s = 102.178 g/s filled; 99.42 / 102.178 = 0.973.
    const flat = Array.from({ length: 9 }, (_, i) => ({ ...at(5000), speed: rpm(4992 + 2 * i), flow: 0 }));
    const steady = flat.map((one) => ({ ...one, flow: 0.09942 * (one.speed / rpm(5000)) }));
    const found = efficiencyOfPull(steady, { ...engine, speed: rpm(5000) }, { table: 0, density: 0 });
    expect(found.efficiency.value).toBeCloseTo(0.973, 4);
    expect(found.efficiency.u).toBeCloseTo(0, 9);
  });
  it("gives the efficiency at the speed asked for, table and density in its u", () => {
    for (const turns of [3600, 4500, 5000, 6200]) {
      const u = { table: 0.02, density: 0.015 };
      const { efficiency, from, to } = efficiencyOfPull(pull, { ...engine, speed: rpm(turns) }, u);
      expect(efficiency.value).toBeCloseTo(truth(rpm(turns)), 4);
      expect(efficiency.u / efficiency.value).toBeCloseTo(0.025, 5);
      expect([from, to]).toEqual([rpm(3500), rpm(6500)]);
    }
  });
  it("counts the scatter of single samples", () => {
    const scattered = pull.map((_, i) => at(3500 + 50 * i, i % 2 === 0 ? 0.03 : -0.03));
    const { efficiency } = efficiencyOfPull(
      scattered,
      { ...engine, speed: rpm(5000) },
      { table: 0, density: 0 },
    );
    expect(efficiency.u).toBeGreaterThan(0.95 * 0.03);
    expect(efficiency.u).toBeLessThan(0.95 * 0.04);
  });
  it("leaves out part load, and missing readings", () => {
    const cruise = pull.map((one) => ({
      ...one,
      manifoldPressure: 0.6 * one.manifoldPressure,
      flow: 0.4 * one.flow,
    }));
    const holes = [...pull, ...cruise, { ...at(5000), flow: Number.NaN }];
    const asked = { ...engine, speed: rpm(5000) };
    const u = { table: 0, density: 0 };
    expect(efficiencyOfPull(holes, asked, u)).toEqual(efficiencyOfPull(pull, asked, u));
  });
  it("refuses a speed outside the pull's, and too few samples", () => {
    const u = { table: 0.02, density: 0.01 };
    expect(() => efficiencyOfPull(pull, { ...engine, speed: rpm(7000) }, u)).toThrow(
      /7000 rpm.*3500 rpm to 6500 rpm/u,
    );
    expect(() => efficiencyOfPull(pull.slice(0, 5), { ...engine, speed: rpm(3600) }, u)).toThrow(
      /E_TOO_LITTLE_DATA/u,
    );
    expect(() => efficiencyOfPull([], { ...engine, speed: rpm(3600) }, u)).toThrow(/E_TOO_LITTLE_DATA/u);
  });
});
