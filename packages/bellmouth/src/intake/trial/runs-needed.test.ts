import { describe, expect, it } from "vitest";
import { effectVariance, suggestOrder } from "./run-order.js";
import { runsNeeded } from "./runs-needed.js";

describe("runsNeeded", () => {
  // J. Cohen, Statistical Power Analysis (1988), table 2.4.1: 17, 26 and 64 a group (from memory), and SciPy 1.17.1 for
  // the powers: 0.8070367 at 17 and d = 1 where 16 gives 0.7814; 0.8074866 at 26 and 0.8; 0.8014596 at 64 and 0.5.
  it.each([
    [1, 17, 0.8070367],
    [0.8, 26, 0.8074866],
    [0.5, 64, 0.8014596],
  ])("without drift agrees with the two-sample t test: d = %d", (d, n, power) => {
    const needed = runsNeeded(d, 1, { power: 0.8, confidence: 0.95, drift: "none" });
    expect(needed?.perSide).toBe(n);
    expect(Math.abs((needed?.power as number) - power)).toBeLessThan(1e-6);
  });
  it("gives up past a hundred runs a side", () => {
    expect(runsNeeded(0.01, 1, { power: 0.8, confidence: 0.95, drift: "linear" })).toBeNull();
  });
  it("asks for a run more where a drift must be found as well", () => {
    const options = { power: 0.8, confidence: 0.95 } as const;
    const without = runsNeeded(3, 1, { ...options, drift: "none" });
    const withDrift = runsNeeded(3, 1, { ...options, drift: "linear" });
    expect(withDrift?.perSide as number).toBeGreaterThanOrEqual(without?.perSide as number);
    expect(withDrift?.detectable as number).toBeLessThanOrEqual(3);
  });
});

describe("suggestOrder", () => {
  it("keeps a steady drift out of the comparison", () => {
    for (let n = 1; n <= 12; n++) {
      const order = suggestOrder(n);
      expect(order.filter((side) => side === "before").length).toBe(n);
      expect(order.length).toBe(2 * n);
      const place = (side: string): number => order.reduce((sum, one, i) => sum + (one === side ? i : 0), 0);
      // exactly balanced for an even number; an odd number cannot be, and is one place off
      expect(Math.abs(place("before") - place("after"))).toBe(n % 2 === 0 ? 0 : 1);
      if (n > 1) expect(effectVariance(order, "linear")).toBeLessThan((2 / n) * 1.06);
    }
  });
  it("costs four times the variance to run all old first", () => {
    const blocks = ["before", "before", "before", "after", "after", "after"] as const;
    const cost = effectVariance(blocks, "linear") / effectVariance(suggestOrder(3), "linear");
    expect(cost).toBeGreaterThan(3.5);
  });
});
