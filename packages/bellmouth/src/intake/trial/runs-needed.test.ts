import { describe, expect, it } from "vitest";
import { seededRandom } from "../../fit/index.js";
import { celsius, kilopascals, rpm, seconds } from "../../units/index.js";
import { compareRuns } from "./compare-runs.js";
import type { TrialRun, TrialSide } from "./run.js";
import { effectVariance, suggestOrder } from "./run-order.js";
import { type RunsNeeded, runsNeeded } from "./runs-needed.js";

type Random = ReturnType<typeof seededRandom>;

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

describe("N9: what runsNeeded promises is reached", () => {
  const points = [rpm(5000)];
  const air = { pressure: kilopascals(99), temperature: celsius(20), relativeHumidity: 0.5 };
  /** Share of trials in this order that claim a rise or fall, each with its own spread of runs. */
  function reached(
    order: readonly TrialSide[],
    effect: number,
    spread: () => number,
    random: Random,
  ): number {
    const trials = 600;
    let claims = 0;
    for (let k = 0; k < trials; k++) {
      const sd = spread();
      const runs = order.map((side, i): TrialRun => {
        const drop = 4000 - (side === "after" ? effect : 0) + sd * random.normal();
        const pressure = points.map(() => air.pressure - drop);
        return {
          id: `${i}`,
          side,
          at: seconds(600 * i),
          air,
          form: "points",
          samples: { speed: points, pressure },
        };
      });
      const { claim } = compareRuns(runs, {
        points,
        quantity: "pressure",
        power: 0.8,
        common: air,
        step: 0,
        window: rpm(300),
      });
      if (claim === "rise" || claim === "fall") claims++;
    }
    return claims / trials;
  }
  const plan = { power: 0.8, confidence: 0.95, drift: "unknown" } as const;
  it("N9: a spread that is known, a difference of three times it", () => {
    const random = seededRandom(5);
    const needed = runsNeeded(150, 50, plan) as RunsNeeded;
    const got = reached(needed.order, 150, () => 50, random);
    expect(needed.power).toBeGreaterThanOrEqual(0.8);
    // 600 trials: a standard deviation of 1.6 points.
    expect(Math.abs(got - needed.power)).toBeLessThan(0.03);
  }, 180_000);
  it("N9: a spread found with four degrees of freedom, a difference of twice what was found", () => {
    const random = seededRandom(6);
    const needed = runsNeeded(100, 50, { ...plan, degreesOfFreedom: 4 }) as RunsNeeded;
    // More runs than if the spread were known: it may be larger than found.
    expect(needed.perSide).toBeGreaterThan((runsNeeded(100, 50, plan) as RunsNeeded).perSide);
    const spread = (): number => {
      const squares = [0, 0, 0, 0].reduce<number>((sum) => sum + random.normal() ** 2, 0);
      return 50 * Math.sqrt(4 / squares);
    };
    expect(Math.abs(reached(needed.order, 100, spread, random) - needed.power)).toBeLessThan(0.03);
  }, 180_000);
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
