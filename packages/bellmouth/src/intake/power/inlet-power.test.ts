import { describe, expect, it } from "vitest";
import { seededRandom } from "../../fit/index.js";
import {
  celsius,
  kelvins,
  kilopascals,
  kilowatts,
  pascals,
  type Temperature,
  watts,
} from "../../units/index.js";
import { chargeDensityRatio, type PowerGainInput, powerGain, powerRatio } from "./inlet-power.js";

const input: PowerGainInput = {
  power: { value: kilowatts(150), u: kilowatts(5) },
  pressure: { value: kilopascals(96), u: pascals(300) },
  rise: { value: 900, u: 120 },
  temperature: { value: celsius(30), u: kelvins(2) as Temperature },
  temperatureRise: { value: -3, u: 0.8 },
};

describe("powerRatio", () => {
  it("is 1 for no change, and rises with pressure and with cold", () => {
    const charge = { pressure: kilopascals(95), temperature: celsius(40) };
    expect(powerRatio(charge, charge)).toBeCloseTo(1, 14);
    expect(powerRatio(charge, { ...charge, pressure: kilopascals(96) })).toBeGreaterThan(1.0105);
    expect(chargeDensityRatio(charge, { ...charge, temperature: celsius(30) })).toBeCloseTo(
      313.15 / 303.15,
      12,
    );
    expect(() => powerRatio(charge, { ...charge, pressure: pascals(96) })).toThrow(/E_DOMAIN/);
    expect(() => powerRatio(charge, { ...charge, temperature: kelvins(40) })).toThrow(/E_DOMAIN/);
  });
});

describe("powerGain", () => {
  it("N7: a change that nothing judges leaves the gain without an interval, and is still counted", () => {
    const sure = powerGain({ ...input, temperatureRise: { value: 20, u: 1 } });
    const unsure = powerGain({ ...input, temperatureRise: { value: 20, u: null } });
    expect(unsure.gain.value).toBe(sure.gain.value);
    expect([unsure.gain.from, unsure.gain.to]).toEqual([null, null]);
    expect([unsure.byDensity.from, unsure.byDensity.to]).toEqual([null, null]);
    expect(unsure.unjudged).toEqual(["temperatureRise"]);
    expect(sure.unjudged).toEqual([]);
    expect(powerGain({ ...input, rise: { value: 300, u: null } }).unjudged).toEqual(["rise"]);
  });
  it("has the uncertainty that drawing all inputs at random gives", () => {
    const { gain, byDensity } = powerGain(input);
    const random = seededRandom(21);
    const n = 40_000;
    const sums = [0, 0, 0, 0] as [number, number, number, number];
    for (let i = 0; i < n; i++) {
      const draw = (one: { readonly value: number; readonly u: number | null }): number =>
        one.value + (one.u ?? Number.NaN) * random.normal();
      const [p, t] = [draw(input.pressure), draw(input.temperature)];
      const before = { pressure: pascals(p), temperature: kelvins(t) };
      const after = {
        pressure: pascals(p + draw(input.rise)),
        temperature: kelvins(t + draw(input.temperatureRise)),
      };
      const power = draw(input.power);
      const a = power * (powerRatio(before, after) - 1);
      const b = power * (chargeDensityRatio(before, after) - 1);
      sums[0] += a / n;
      sums[1] += (a * a) / n;
      sums[2] += b / n;
      sums[3] += (b * b) / n;
    }
    expect(gain.value / sums[0]).toBeCloseTo(1, 2);
    expect(gain.u / Math.sqrt(sums[1] - sums[0] ** 2)).toBeCloseTo(1, 1);
    expect(Math.abs(gain.u / Math.sqrt(sums[1] - sums[0] ** 2) - 1)).toBeLessThan(0.02);
    expect(Math.abs(byDensity.u / Math.sqrt(sums[3] - sums[2] ** 2) - 1)).toBeLessThan(0.02);
  });
  it("keeps a trial's few degrees of freedom", () => {
    const certain = { ...input, power: { value: watts(150_000), u: watts(0) } };
    const gain = powerGain({
      ...certain,
      rise: { value: 900, u: 120, degreesOfFreedom: 3 },
      temperatureRise: { value: 0, u: 0 },
    }).gain;
    expect(gain.degreesOfFreedom as number).toBeGreaterThan(3);
    expect(gain.degreesOfFreedom as number).toBeLessThan(3.1);
  });
  it("splits the gain into pressure and temperature", () => {
    const { parts, gain } = powerGain(input);
    // the cross term is of second order
    expect(Math.abs(parts.pressure + parts.temperature - gain.value)).toBeLessThan(0.01 * gain.value);
    expect(parts.pressure).toBeGreaterThan(0);
    expect(parts.temperature).toBeGreaterThan(0);
  });
});
