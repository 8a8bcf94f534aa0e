import { describe, expect, it } from "vitest";
import { isFault } from "../../fault/index.js";
import { gramsPerSecond, kilogramsPerCubicMetre, pascals } from "../../units/index.js";
import { engineOnLosses, lossDrops, pressureAfter } from "./loss.js";

const at = {
  flow: gramsPerSecond(200),
  density: kilogramsPerCubicMetre(1.2),
  pressure: pascals(100_000),
};
const loss = (square: number, linear = 0) => ({ linear, square, atDensity: 1.2 });

describe("lossDrops", () => {
  it("uses the mean density of each element", () => {
    const drops = lossDrops([loss(40_000), loss(20_000, 1000)], at);
    let before = 100_000;
    drops.forEach((drop, j) => {
      const rho = (1.2 * (before - drop / 2)) / 100_000;
      const expected = j === 0 ? (40_000 * 0.04) / rho : (1000 * 0.2 * 1.2 + 20_000 * 0.04) / rho;
      expect(drop).toBeCloseTo(expected, 8);
      before -= drop;
    });
  });
  it("refuses a flow that cannot pass", () => {
    const tooMuch = () => lossDrops([loss(2e6)], at);
    expect(tooMuch).toThrow(/E_DOMAIN/);
    try {
      lossDrops([loss(-1)], at);
    } catch (error) {
      expect(isFault(error, "E_DOMAIN")).toBe(true);
    }
    expect(() => lossDrops([loss(Number.NaN)], at)).toThrow(/E_DOMAIN/);
  });
});

describe("engineOnLosses", () => {
  it("leaves an unchanged tract alone", () => {
    const losses = [loss(40_000), loss(30_000, 500)];
    const same = engineOnLosses(losses, losses, at);
    expect(same.flow).toBeCloseTo(0.2, 12);
    expect(same.pressure).toBeCloseTo(pressureAfter(losses, at), 7);
  });
  it("draws a mass in proportion to the pressure it finds", () => {
    const before = [loss(40_000), loss(30_000)];
    const after = [loss(15_000), loss(30_000)];
    const engine = engineOnLosses(before, after, at);
    const reference = pressureAfter(before, at);
    expect(engine.flow / 0.2).toBeCloseTo(engine.pressure / reference, 10);
    expect(engine.pressure).toBeCloseTo(pressureAfter(after, { ...at, flow: engine.flow }), 6);
    // the extra flow gives a little of the gain back
    expect(engine.pressure).toBeLessThan(pressureAfter(after, at));
    expect(engine.pressure).toBeGreaterThan(reference);
  });
});
