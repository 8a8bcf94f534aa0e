import { describe, expect, it } from "vitest";
import type { MoistAir } from "../../air/index.js";
import { airDensity } from "../../air/index.js";
import { seededRandom } from "../../fit/index.js";
import {
  celsius,
  cm2,
  gramsPerSecond,
  kilogramsPerSecond,
  kilopascals,
  type PressureDifference,
  pascalsDifference,
  squareMetres,
} from "../../units/index.js";
import { meterHousing, restrictionBudget } from "./budget.js";
import { lossDrops } from "./loss.js";
import { squareOfLoss } from "./loss-coefficient.js";
import type { RestrictionOptions } from "./restriction-budget.js";
import type { Tract, TractPoint } from "./tract.js";
import { restrictionVerdict } from "./verdict.js";
import { predictChange } from "./what-if.js";

const air: MoistAir = { pressure: kilopascals(99), temperature: celsius(20), relativeHumidity: 0.5 };
const density = airDensity(air);
const truth = [
  { linear: 3000, square: 5000, atDensity: density as number },
  { linear: 0, square: squareOfLoss(0.8, cm2(43)), atDensity: density as number },
  { linear: 0, square: 18_000, atDensity: density as number },
];
const tract: Tract = {
  elements: [
    { name: "filter box", end: { reads: "total" } },
    {
      name: "meter",
      role: "meter housing",
      area: { value: cm2(43), u: cm2(0.2) },
      end: { reads: "total" },
    },
    { name: "hose and throttle", end: { reads: "total" } },
  ],
};

function points(noise: number, seed: number, pulls = 3): TractPoint[] {
  const random = seededRandom(seed);
  return Array.from({ length: pulls }, (_, pull) =>
    [0.11, 0.14, 0.17, 0.2, 0.22].map((flow) => {
      let gone = 0;
      const drops = lossDrops(truth, { flow: kilogramsPerSecond(flow), density, pressure: air.pressure });
      return {
        pull: `pull ${pull}`,
        flow: kilogramsPerSecond(flow),
        drops: drops.map((drop): PressureDifference => {
          gone += drop;
          return pascalsDifference(gone + noise * random.normal());
        }),
      };
    }),
  ).flat();
}

const budgetOf = (noise: number, options: RestrictionOptions = {}) =>
  restrictionBudget(tract, points(noise, 5), air, options);

describe("defects of a restriction budget", () => {
  const duct = { value: cm2(36), u: cm2(0) };
  const tapped: Tract = {
    elements: tract.elements.map((element) => ({ ...element, end: { reads: "static", area: duct } })),
  };
  const gauges = (zero: number, gain: number) => ({
    gauges: [{ elements: tract.elements.map(({ name }) => name), zero: pascalsDifference(zero), gain }],
  });
  it("N12: a gauge's zero and scale move a static station as they move its reading", () => {
    const own = points(0, 5);
    // The tapping reads the stream's own head besides; scale it with the gauge and read the budget anew.
    const budget = (scale: number, offset: number, options: RestrictionOptions) =>
      restrictionBudget(
        tapped,
        own.map((point, k) => ({
          ...point,
          drops: point.drops.map((drop, s) => {
            const head = (point.flow / duct.value) ** 2 / (2 * density);
            return pascalsDifference((drop + head) * scale + offset + 1e-3 * Math.sin(17 * k + s));
          }),
        })),
        air,
        options,
      );
    const still = budget(1, 0, gauges(20, 0.02));
    const scaled = budget(1.02, 0, {});
    const lifted = budget(1, 20, {});
    still.elements.forEach((element, j) => {
      const shift = Math.hypot(
        (scaled.elements[j]?.drop.value as number) - element.drop.value,
        (lifted.elements[j]?.drop.value as number) - element.drop.value,
      );
      expect(element.drop.u / shift).toBeCloseTo(1, 1);
      const turn = Math.hypot(
        (scaled.elements[j]?.share.value as number) - element.share.value,
        (lifted.elements[j]?.share.value as number) - element.share.value,
      );
      expect(element.share.u / turn).toBeCloseTo(1, 0);
    });
    const change = {
      change: "bore",
      element: "meter",
      area: { value: cm2(55), u: cm2(0) },
      kRatio: { value: 1, u: 0 },
    } as const;
    const moved = Math.hypot(
      predictChange(scaled, change).rise.value - predictChange(still, change).rise.value,
      predictChange(lifted, change).rise.value - predictChange(still, change).rise.value,
    );
    expect(predictChange(still, change).rise.u / moved).toBeCloseTo(1, 0);
  });
  it("N12: the area at a static tapping is part of the uncertainty", () => {
    const sure = restrictionBudget(tapped, points(2, 5), air, { law: "square" });
    const unsure = restrictionBudget(
      {
        elements: tapped.elements.map((element) => ({
          ...element,
          end: { reads: "static", area: { value: duct.value, u: cm2(1) } },
        })),
      },
      points(2, 5),
      air,
      { law: "square" },
    );
    expect(unsure.elements[0]?.drop.u as number).toBeGreaterThan(2 * (sure.elements[0]?.drop.u as number));
  });
  it("N13: readings of reversed sign are refused by the name of the station", () => {
    const reversed = points(1, 5).map((point) => ({
      ...point,
      drops: point.drops.map((drop, s) => pascalsDifference(s === 0 ? -drop / 4 : drop)),
    }));
    expect(() => restrictionBudget(tract, reversed, air)).toThrow(
      /after "filter box" lies above the outside/,
    );
    const noise = points(0, 5).map((point, k) => ({
      ...point,
      drops: point.drops.map((drop, s) => pascalsDifference(s === 0 ? 3 * Math.sin(5 * k) : drop)),
    }));
    expect(restrictionBudget(tract, noise, air).elements[0]?.drop.value as number).toBeLessThan(10);
  });
  it("N13: a part held at a bound is not 0 to 0, and sure", () => {
    // The meter gives pressure back, as no part does: its fit is far below zero.
    const back = points(4, 5).map((point) => ({
      ...point,
      drops: point.drops.map((drop, s) =>
        pascalsDifference(s === 1 ? 0.5 * (point.drops[0] as number) : drop),
      ),
    }));
    const meter = meterHousing(restrictionBudget(tract, back, air, { law: "square" }));
    expect(meter?.flags).toContain("at bound");
    expect(meter?.share.value).toBe(0);
    expect(meter?.share.to as number).toBeGreaterThan(0);
    expect(meter?.drop.to as number).toBeGreaterThan(0);
  });
  it("N13: nothing is predicted where the tract's drop is not there, and what is left of a part is counted", () => {
    const nothing = points(0, 5).map((point, k) => ({
      ...point,
      drops: point.drops.map((_, s) => pascalsDifference(5 * Math.sin(7 * k + 3 * s))),
    }));
    const budget = restrictionBudget(tract, nothing, air);
    expect(budget.flags).toContain("total not distinguishable from zero");
    expect(() => predictChange(budget, { change: "remove", element: "meter" })).toThrow(
      /not distinguishable from zero/,
    );
    const good = budgetOf(3);
    const bare = predictChange(good, { change: "remove", element: "filter box" });
    const inlet = predictChange(good, {
      change: "remove",
      element: "filter box",
      left: { area: { value: cm2(43), u: cm2(0) }, k: { value: 0.5, u: 0.15 } },
    });
    // K 0.5 of a sharp-edged inlet (handbook value) on the head of 43 cm^2 at 220 g/s: 544 Pa with this air.
    const kept = (0.5 * (0.22 / 43e-4) ** 2) / 2 / density;
    expect(inlet.after.value / kept).toBeCloseTo(1, 1);
    expect(inlet.after.u / kept).toBeCloseTo(0.3, 2);
    expect(inlet.rise.value).toBeLessThan(bare.rise.value);
    const same = predictChange(good, {
      change: "bore",
      element: "meter",
      area: { value: cm2(43), u: cm2(0) },
      kRatio: { value: 1, u: 0 },
    });
    expect(same.rise.value).toBe(0);
  });
  it("N13: parts measured one by one: a gauge's zero adds up from part to part", () => {
    const whole = restrictionBudget(tract, points(0.2, 5), air, { ...gauges(20, 0) });
    const parts = restrictionBudget(tract, points(0.2, 5), air, {
      ...gauges(20, 0),
      measured: "part by part",
    });
    expect(parts.total.u / whole.total.u).toBeGreaterThan(2.5);
    expect(parts.total.value).toBe(whole.total.value);
  });
  it("N22: where a boost control holds the flow, a change gains its drop at that flow", () => {
    const change = { change: "remove", element: "meter" } as const;
    const held = predictChange(budgetOf(3), change, { flow: "held" });
    const follows = predictChange(budgetOf(3), change);
    expect(held.atSpeed.flow).toBe(0.22);
    expect(held.rise.value / held.saved.value).toBeCloseTo(1, 1);
    expect(held.rise.value).toBeGreaterThan(follows.rise.value);
  });
});

describe("restrictionBudget", () => {
  it("recovers the losses from readings without noise", () => {
    const budget = budgetOf(0);
    budget.elements.forEach((element, j) => {
      expect(element.loss.linear).toBeCloseTo(truth[j]?.linear as number, 3);
      expect(element.loss.square / (truth[j]?.square as number)).toBeCloseTo(1, 7);
    });
    expect(meterHousing(budget)?.k?.value).toBeCloseTo(0.8, 6);
    expect(budget.elements.reduce((sum, element) => sum + element.share.value, 0)).toBeCloseTo(1, 12);
    expect(budget.elements.reduce((sum, element) => sum + element.drop.value, 0)).toBeCloseTo(
      budget.total.value,
      8,
    );
  });
  it("gives K the doubt of the area as well", () => {
    const k = meterHousing(budgetOf(0))?.k;
    expect(k?.u as number).toBeCloseTo((2 * 0.8 * 0.2) / 43, 4);
  });
  it("keeps coefficients at or above zero and says where it had to", () => {
    let bounds = 0;
    for (let seed = 1; seed <= 8; seed++) {
      for (const element of restrictionBudget(tract, points(60, seed), air).elements) {
        expect(element.loss.linear).toBeGreaterThanOrEqual(0);
        expect(element.loss.square).toBeGreaterThanOrEqual(0);
        expect(element.linear?.from).toBeGreaterThanOrEqual(0);
        expect(element.share.from as number).toBeLessThanOrEqual(element.share.value);
        expect(element.share.to as number).toBeGreaterThanOrEqual(element.share.value);
        if (element.flags.includes("at bound")) {
          bounds++;
          expect(Math.min(element.loss.linear, element.loss.square)).toBe(0);
        }
      }
    }
    // two of the three elements have no viscous part, so about half of their free estimates fall below zero
    expect(bounds).toBeGreaterThan(4);
  });
  it("flags pulls that differ by more than their points explain, and then judges by pulls", () => {
    const shifted = points(5, 3, 5).map((point, k) => ({
      ...point,
      drops: point.drops.map((drop) => pascalsDifference(drop + 90 * Math.sin(Math.floor(k / 5) * 2.4))),
    }));
    expect(restrictionBudget(tract, shifted, air).flags).toContain("pulls differ");
    const byPulls = restrictionBudget(tract, shifted, air, { independent: "pulls" });
    expect(byPulls.flags).not.toContain("pulls differ");
    expect(byPulls.total.degreesOfFreedom).toBeCloseTo(4, 6);
    expect(byPulls.total.u).toBeGreaterThan(restrictionBudget(tract, shifted, air).total.u);
  });
  it("adds the stated errors of gauges", () => {
    const plain = budgetOf(5);
    const gauges = [
      { elements: ["filter box", "meter", "hose and throttle"], zero: pascalsDifference(40), gain: 0.02 },
    ];
    const stated = budgetOf(5, { gauges });
    expect(plain.flags).toContain("gauges unstated");
    expect(stated.flags).not.toContain("gauges unstated");
    expect(stated.total.u).toBeGreaterThan(0.02 * stated.total.value);
    // one gauge's scale is common to all elements: it cancels in the shares, its zero does not
    const scaleOnly = budgetOf(5, { gauges: [{ ...gauges[0]!, zero: pascalsDifference(0) }] });
    expect(meterHousing(scaleOnly)?.share.u).toBeCloseTo(meterHousing(plain)?.share.u as number, 4);
  });
  it("reads static tappings as total pressure less the stream's head", () => {
    const area = cm2(43);
    const withTap: Tract = {
      elements: tract.elements.map((element, j) =>
        j === 1
          ? { ...element, end: { reads: "static", area: { value: area, u: squareMetres(0) } } }
          : element,
      ),
    };
    const read = points(0, 1).map((point) => ({
      ...point,
      // incompressible head with the density of the place: within M^2/4 of the exact one
      drops: point.drops.map((drop, j) => {
        const rho = (density * (air.pressure - drop)) / air.pressure;
        return j === 1 ? pascalsDifference(drop + (point.flow / area) ** 2 / (2 * rho)) : drop;
      }),
    }));
    const budget = restrictionBudget(withTap, read, air);
    expect(meterHousing(budget)?.k?.value).toBeCloseTo(0.8, 1);
    expect(
      Math.abs(
        (meterHousing(budget)?.share.value as number) - (meterHousing(budgetOf(0))?.share.value as number),
      ),
    ).toBeLessThan(0.01);
  });
  it("is JSON-ready", () => {
    const budget = budgetOf(20);
    expect(JSON.parse(JSON.stringify(budget))).toEqual(budget);
  });
});

describe("restrictionVerdict", () => {
  it("says what the meter housing takes, with its range", () => {
    const { text, element } = restrictionVerdict(budgetOf(20));
    expect(element).toBe("meter");
    expect(text).toMatch(
      /^the meter housing \("meter"\) accounts for [\d.]+ % of the pressure loss at peak flow \(95 %: [\d.]+ to [\d.]+ %\)/,
    );
  });
});

describe("predictChange", () => {
  const budget = budgetOf(0);
  it("scales a bore by the square of the areas", () => {
    const change = {
      change: "bore",
      element: "meter",
      area: { value: cm2(58), u: cm2(0) },
      kRatio: { value: 1, u: 0 },
    } as const;
    const prediction = predictChange(budget, change);
    expect(prediction.losses[1]?.square).toBeCloseTo((truth[1]?.square as number) * (43 / 58) ** 2, 0);
    expect(prediction.saved.value).toBeCloseTo(prediction.before.value - prediction.after.value, 8);
    expect(prediction.rise.value).toBeGreaterThan(0);
    expect(prediction.rise.value).toBeLessThan(prediction.saved.value * 1.05);
    expect(prediction.atSpeed.flow).toBeGreaterThan(budget.peak);
  });
  it("removes an element", () => {
    const prediction = predictChange(budget, { change: "remove", element: "filter box" });
    expect(prediction.after.value).toBe(0);
    expect(prediction.saved.value).toBeCloseTo(budget.elements[0]?.drop.value as number, 6);
  });
  it("refuses what it cannot know", () => {
    expect(() => predictChange(budget, { change: "remove", element: "muffler" })).toThrow(/E_SHAPE/);
    const area = { value: cm2(58), u: cm2(0) };
    const change = { change: "bore", element: "filter box", area, kRatio: { value: 1, u: 0 } } as const;
    expect(() => predictChange(budget, change)).toThrow(/E_DOMAIN/);
  });
});

describe("peak flow", () => {
  it("says when it lies beyond the data", () => {
    expect(budgetOf(5, { peak: gramsPerSecond(300) }).flags).toContain("peak beyond data");
  });
});
