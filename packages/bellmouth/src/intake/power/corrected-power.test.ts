import { describe, expect, it } from "vitest";
import { celsius, kilopascals, kilowatts } from "../../units/index.js";
import { correctedPower, type MeasuredAir } from "./corrected-power.js";

const air = (pressure: number, temperature: number): MeasuredAir => ({
  state: { pressure: kilopascals(pressure), temperature: celsius(temperature), relativeHumidity: 0 },
  uPressure: 100,
  uTemperature: 1,
});
const power = { value: kilowatts(100), u: kilowatts(1) };

describe("correctedPower", () => {
  it.each(["SAE J1349", "ISO 1585"] as const)("%s: slopes agree with finite differences", (standard) => {
    const at = (p: number, t: number): number => correctedPower(power, air(p, t), standard).factor.value;
    const dp = (at(97.001, 30) - at(96.999, 30)) / 2; // per Pa
    const dT = (at(97, 30.01) - at(97, 29.99)) / 0.02;
    expect(correctedPower(power, air(97, 30), standard).factor.u).toBeCloseTo(Math.hypot(100 * dp, dT), 5);
  });
  it("says when the standard does not allow it", () => {
    expect(correctedPower(power, air(99, 25), "SAE J1349").allowed).toBe(true);
    expect(correctedPower(power, air(88, 25), "SAE J1349").allowed).toBe(false);
    expect(correctedPower(power, air(88, 25), "ISO 1585").allowed).toBe(false);
  });
});
