import type { MoistAir } from "bellmouth/air";
import { airDensity } from "bellmouth/air";
import {
  actualDrop,
  compareRuns,
  type ElementLoss,
  engineOnLosses,
  lossDrops,
  lossOnSection,
  powerOfTrial,
  powerRatio,
  predictChange,
  pressureAfter,
  ratioInterval,
  reducedDrop,
  restrictionBudget,
  runsNeeded,
  suggestOrder,
  type Tract,
  type TrialRun,
} from "bellmouth/intake";
import {
  celsius,
  kilogramsPerSecond,
  kilopascals,
  pascals,
  pascalsDifference,
  rpm,
  seconds,
  squareMetres,
} from "bellmouth/units";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { evenly } from "../support/evenly.js";

const options = { seed: 20_262, numRuns: 200 } as const;
const number = evenly;
const air: MoistAir = { pressure: kilopascals(99), temperature: celsius(20), relativeHumidity: 0.4 };
const density = airDensity(air);

const loss = fc.record({
  linear: number(0, 5000),
  square: number(0, 5e4),
  atDensity: fc.constant(density as number),
});
const losses = fc.array(loss, { minLength: 1, maxLength: 6 });
const at = (flow: number) => ({ flow: kilogramsPerSecond(flow), density, pressure: air.pressure });

/** Readings without noise of a tract. */
const pointsOf = (list: readonly ElementLoss[], flows: readonly number[]) =>
  flows.map((flow) => {
    let gone = 0;
    return {
      pull: "pull",
      flow: kilogramsPerSecond(flow),
      drops: lossDrops(list, at(flow)).map((drop) => {
        gone += drop;
        return pascalsDifference(gone);
      }),
    };
  });
const tractOf = (list: readonly ElementLoss[]): Tract => ({
  elements: list.map((_, i) => ({
    name: `element ${i}`,
    area: { value: squareMetres(0.004), u: squareMetres(0) },
    end: { reads: "total" },
  })),
});

describe("losses of a tract", () => {
  it("rise with flow, never fall below zero, and leave the same whole in any order of equal density", () => {
    fc.assert(
      fc.property(losses, number(0.01, 0.12), (list, flow) => {
        const less = lossDrops(list, at(flow));
        const more = lossDrops(list, at(flow * 1.1));
        less.forEach((drop, i) => {
          expect(drop).toBeGreaterThanOrEqual(0);
          expect(more[i] as number).toBeGreaterThanOrEqual(drop - 1e-9);
        });
        // squares of pressure add up, so the order of the elements cannot matter to the manifold
        const there = pressureAfter(list, at(flow));
        const back = pressureAfter([...list].reverse(), at(flow));
        expect(Math.abs(there - back)).toBeLessThan(1e-6);
      }),
      options,
    );
  });
  it("reduced and actual drops are each other's inverse", () => {
    fc.assert(
      fc.property(number(0, 40_000), number(50_000, 110_000), (drop, outside) => {
        fc.pre(drop < 0.45 * outside);
        expect(Math.abs(actualDrop(reducedDrop(drop, outside), outside) - drop)).toBeLessThan(1e-6);
      }),
      options,
    );
  });
  it("less loss, more flow at the same engine speed", () => {
    fc.assert(
      fc.property(losses, number(0.05, 0.12), number(0, 1), (list, flow, part) => {
        const after = list.map((one) => ({ ...one, square: one.square * part }));
        const engine = engineOnLosses(list, after, at(flow));
        expect(engine.flow).toBeGreaterThanOrEqual(flow * (1 - 1e-9));
        expect(engine.pressure).toBeLessThanOrEqual(air.pressure);
      }),
      options,
    );
  });
  it("a loss brought to another section and back is the same", () => {
    fc.assert(
      fc.property(number(0, 20), number(1e-4, 0.02), number(1e-4, 0.02), (k, a, b) => {
        const there = lossOnSection(k, squareMetres(a), squareMetres(b));
        expect(lossOnSection(there, squareMetres(b), squareMetres(a))).toBeCloseTo(k, 9);
      }),
      options,
    );
  });
});

describe("restriction budget", () => {
  it("finds what made the readings; shares add up to one", () => {
    fc.assert(
      fc.property(losses, (list) => {
        const flows = [0.05, 0.07, 0.09, 0.11, 0.12];
        fc.pre(pressureAfter(list, at(0.12)) < air.pressure - 50);
        const budget = restrictionBudget(tractOf(list), pointsOf(list, flows), air);
        const drops = lossDrops(list, at(0.12));
        budget.elements.forEach((element, i) => {
          expect(Math.abs(element.drop.value - (drops[i] as number))).toBeLessThan(1e-3);
        });
        expect(budget.elements.reduce((sum, element) => sum + element.share.value, 0)).toBeCloseTo(1, 9);
      }),
      { ...options, numRuns: 60 },
    );
  });
  it("whatever the readings, values lie in their intervals and shares between 0 and 1", () => {
    const readings = fc.array(fc.array(number(-500, 9000), { minLength: 3, maxLength: 3 }), {
      minLength: 4,
      maxLength: 12,
    });
    fc.assert(
      fc.property(readings, (rows) => {
        const points = rows.map((row, i) => ({
          pull: `pull ${i % 2}`,
          flow: kilogramsPerSecond(0.08 + 0.01 * i),
          drops: row.map(pascalsDifference),
        }));
        const list = [0, 1, 2].map(() => ({ linear: 0, square: 0, atDensity: density }));
        const budget = restrictionBudget(tractOf(list), points, air);
        for (const { share, drop, loss: found } of budget.elements) {
          expect(found.linear).toBeGreaterThanOrEqual(0);
          expect(found.square).toBeGreaterThanOrEqual(0);
          for (const one of [share, drop]) {
            expect(one.from as number).toBeLessThanOrEqual(one.value);
            expect(one.to as number).toBeGreaterThanOrEqual(one.value);
            expect(one.from as number).toBeGreaterThanOrEqual(0);
          }
          expect(share.to as number).toBeLessThanOrEqual(1);
        }
        expect(JSON.parse(JSON.stringify(budget))).toEqual(budget);
      }),
      { ...options, numRuns: 100 },
    );
  });
  it("a bore changed there and back is no change", () => {
    fc.assert(
      fc.property(losses, number(0.002, 0.01), (list, area) => {
        fc.pre(pressureAfter(list, at(0.12)) < air.pressure - 50);
        const budget = restrictionBudget(tractOf(list), pointsOf(list, [0.05, 0.07, 0.09, 0.11, 0.12]), air);
        const same = predictChange(budget, {
          change: "bore",
          element: "element 0",
          area: { value: squareMetres(0.004), u: squareMetres(0) },
          kRatio: { value: 1, u: 0 },
        });
        expect(Math.abs(same.rise.value)).toBeLessThan(1e-6);
        const other = predictChange(budget, {
          change: "bore",
          element: "element 0",
          area: { value: squareMetres(area), u: squareMetres(0) },
          kRatio: { value: (area / 0.004) ** 2, u: 0 },
        });
        // a K that grows with the square of the area cancels it
        expect(Math.abs(other.saved.value)).toBeLessThan(1e-6);
      }),
      { ...options, numRuns: 40 },
    );
  });
});

describe("intervals of a ratio", () => {
  it("hold the ratio", () => {
    fc.assert(
      fc.property(
        number(0, 10),
        number(1, 10),
        number(0, 0.2),
        number(0, 0.2),
        number(-0.9, 0.9),
        (a, b, u, v, r) => {
          const pair = {
            above: a,
            below: b,
            varianceAbove: u * u,
            varianceBelow: v * v,
            covariance: r * u * v,
          };
          const { from, to } = ratioInterval(pair, 2);
          expect(from as number).toBeLessThanOrEqual(a / b + 1e-12);
          expect(to as number).toBeGreaterThanOrEqual(a / b - 1e-12);
        },
      ),
      options,
    );
  });
});

describe("trial", () => {
  const speeds = Array.from({ length: 60 }, (_, i) => (4000 + 40 * i) / 60);
  const run = (
    side: "before" | "after",
    minutes: number,
    scale: number,
    order: readonly number[],
  ): TrialRun => ({
    id: `${side} ${minutes}`,
    side,
    at: seconds(60 * minutes),
    air,
    form: "log",
    samples: {
      speed: order.map((i) => speeds[i] as number),
      pressure: order.map((i) => air.pressure - scale * ((speeds[i] as number) / 100) ** 2),
    },
  });
  const straight = speeds.map((_, i) => i);
  const trialOptions = { points: [4500, 5000, 5500].map(rpm), quantity: "pressure", power: 0.8 } as const;

  it("does not depend on the order of runs or rows given, and turns its sign when the sides are swapped", () => {
    fc.assert(
      fc.property(
        fc.array(number(3000, 6000), { minLength: 4, maxLength: 4 }),
        fc.shuffledSubarray(straight, { minLength: 60, maxLength: 60 }),
        (scales, shuffled) => {
          const sides = ["before", "after", "after", "before"] as const;
          const make = (order: readonly number[], swap: boolean) =>
            scales.map((scale, i) =>
              run(swap === (sides[i] === "before") ? "after" : "before", 10 * i, scale, order),
            );
          const plain = compareRuns(make(straight, false), trialOptions);
          const mixed = compareRuns(make(shuffled, false).reverse(), trialOptions);
          const swapped = compareRuns(make(straight, true), trialOptions);
          expect(mixed.pooled.effect).toBeCloseTo(plain.pooled.effect, 6);
          expect(swapped.pooled.effect).toBeCloseTo(-plain.pooled.effect, 6);
          expect(swapped.pooled.estimate?.u as number).toBeCloseTo(plain.pooled.estimate?.u as number, 6);
        },
      ),
      { ...options, numRuns: 50 },
    );
  });
  it("a missing sample changes nothing but what it was", () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 0, max: 59 }), { maxLength: 10 }), (holes) => {
        const scales = [4000, 3500, 3520, 4040];
        const runs = scales.map((scale, i) => run(i % 3 === 0 ? "before" : "after", 10 * i, scale, straight));
        const holed = runs.map((one) => ({
          ...one,
          samples: {
            ...one.samples,
            pressure: (one.samples.pressure ?? []).map((p, i) => (holes.includes(i) ? Number.NaN : p)),
          },
        }));
        const plain = compareRuns(runs, trialOptions);
        // a parabola without noise is read exactly from any of its samples
        expect(compareRuns(holed, trialOptions).pooled.effect).toBeCloseTo(plain.pooled.effect, 5);
      }),
      { ...options, numRuns: 50 },
    );
  });
  it("power rises with the shift and with the degrees of freedom", () => {
    fc.assert(
      fc.property(number(0, 8), fc.integer({ min: 1, max: 60 }), (shift, nu) => {
        const here = powerOfTrial(shift, nu, 0.95);
        expect(here).toBeGreaterThanOrEqual(0.05 - 1e-6);
        expect(powerOfTrial(shift + 0.5, nu, 0.95)).toBeGreaterThanOrEqual(here - 1e-7);
        expect(powerOfTrial(shift, nu + 1, 0.95)).toBeGreaterThanOrEqual(here - 1e-7);
      }),
      options,
    );
  });
  it("needed runs reach their power, in an order with as many on each side", () => {
    fc.assert(
      fc.property(number(0.5, 6), number(0.5, 0.95), (wanted, power) => {
        const needed = runsNeeded(wanted, 1, { power, confidence: 0.95, drift: "linear" });
        fc.pre(needed !== null);
        expect(needed?.power as number).toBeGreaterThanOrEqual(power);
        expect(needed?.detectable as number).toBeLessThanOrEqual(wanted * (1 + 1e-6));
        expect(needed?.order).toEqual(suggestOrder(needed?.perSide as number));
      }),
      { ...options, numRuns: 60 },
    );
  });
});

describe("power of a charge", () => {
  it("there and back: indicated ratios multiply to one", () => {
    fc.assert(
      fc.property(
        number(80e3, 105e3),
        number(80e3, 105e3),
        number(-20, 60),
        number(-20, 60),
        (p, q, s, t) => {
          const a = { pressure: pascals(p), temperature: celsius(s) };
          const b = { pressure: pascals(q), temperature: celsius(t) };
          const indicated = (x: number): number => (x + 0.18) / 1.18;
          expect(indicated(powerRatio(a, b)) * indicated(powerRatio(b, a))).toBeCloseTo(1, 12);
        },
      ),
      options,
    );
  });
});
