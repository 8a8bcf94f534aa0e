import { describe, expect, it } from "vitest";
import { seededRandom } from "../../fit/index.js";
import { gramsPerSecond, mm, mm2 } from "../../units/index.js";
import type { Housing } from "../housing.js";
import {
  combinedUncertainty,
  type ErrorBudget,
  makeTransferCurve,
  type TransferCurve,
} from "../transfer-curve.js";
import { budgetCovariance } from "./covariance.js";
import { dot, lowRankFactor } from "./low-rank.js";
import { type FlowReference, joinMeasured, type MeasuredPair } from "./measured.js";

const signals = Array.from({ length: 24 }, (_, i) => 2000 + 400 * i);
const flowAt = (signal: number): number => gramsPerSecond(3) * (signal / 2000) ** 2.6;
const curveOf = (budget: ErrorBudget, error: (i: number) => number = () => 0): TransferCurve =>
  makeTransferCurve({
    signal: "frequency",
    outside: "hold",
    cells: signals.map((signal, i) => ({
      signal,
      flow: flowAt(signal) * Math.exp(error(i)),
      origin: "rescaled" as const,
      budget,
      flags: [],
    })),
  });
const pairsAt = (
  at: readonly number[],
  flow: (signal: number) => number,
  more: Partial<MeasuredPair> = {},
): MeasuredPair[] => at.map((signal) => ({ signal, flow: flow(signal), u: 0.003, ...more }));
const standard: FlowReference = { kind: "standard", u: 0.01 };
const uOf = (curve: TransferCurve): number[] => curve.cells.map(({ budget }) => combinedUncertainty(budget));

describe("a predicted curve joined with measured pairs", () => {
  it("weighs the two by what they know: one error of each", () => {
    const biased = curveOf({ bore: 0.03 }, () => 0.04);
    const { curve } = joinMeasured(biased, {
      pairs: pairsAt(signals, flowAt),
      reference: standard,
      betweenDays: 0.005,
    });
    const measured = 0.01 ** 2 + 0.005 ** 2 + 0.003 ** 2 / signals.length;
    const wanted = 1 / Math.sqrt(1 / 0.03 ** 2 + 1 / measured);
    for (const [i, u] of uOf(curve).entries()) {
      expect(u).toBeCloseTo(wanted, 5);
      const off = Math.log((curve.cells[i]?.flow as number) / flowAt(signals[i] as number));
      expect(off).toBeCloseTo((0.04 * measured) / (measured + 0.03 ** 2), 4);
    }
  });
  it("never averages away what pairs share", () => {
    const many = Array.from({ length: 300 }, (_, i) => 2000 + 30 * i);
    const { curve } = joinMeasured(curveOf({ bore: 0.05 }), {
      pairs: pairsAt(many, flowAt),
      reference: standard,
      betweenDays: 0.02,
    });
    for (const u of uOf(curve)) expect(u).toBeGreaterThan(0.95 * 0.0223 * (1 - 0.0223 ** 2 / 0.05 ** 2));
  });
  it("tells little of flows far from its pairs", () => {
    const { curve } = joinMeasured(curveOf({ profile: 0.04 }), {
      pairs: pairsAt([2000, 2200, 2400], flowAt),
      reference: standard,
      betweenDays: 0.005,
    });
    expect(uOf(curve)[0]).toBeLessThan(0.013);
    expect(uOf(curve).at(-1)).toBeGreaterThan(0.038);
  });

  it("N16: pairs of one day need a between-day uncertainty", () => {
    const one = { pairs: pairsAt(signals, flowAt), reference: standard };
    expect(() => joinMeasured(curveOf({ bore: 0.03 }), one)).toThrow(
      /one day.*two days or more, or a between-day/s,
    );
  });
  it("N16: a second day gives one, with Student's factor; a stated one counts as four days", () => {
    const second = pairsAt(signals, (signal) => flowAt(signal) * 1.02, { day: 2 });
    const pairs = [...pairsAt(signals, flowAt, { day: 1 }), ...second];
    const sd = Math.log(1.02) / Math.SQRT2;
    const own = joinMeasured(curveOf({ bore: 0.03 }), { pairs, reference: standard });
    expect(own.days).toBe(2);
    expect(own.betweenDays / (sd * (12.706 / 1.96))).toBeCloseTo(1, 3);
    const both = joinMeasured(curveOf({ bore: 0.03 }), { pairs, reference: standard, betweenDays: 0.01 });
    expect(both.betweenDays).toBeCloseTo(Math.sqrt((4 * 0.01 ** 2 + sd ** 2) / 5), 4);
  });

  it("another meter in series: its table's error stays, and cancels nothing where the prediction rests on the same table", () => {
    const given = { pairs: pairsAt(signals, flowAt), betweenDays: 0.002 };
    const table = { kind: "table", u: 0.02, ratio: 1.3 } as const;
    const same = joinMeasured(curveOf({ element: 0.02, profile: 0.03 }), {
      ...given,
      reference: { ...table, sameTable: true },
    });
    for (const u of uOf(same.curve)) {
      expect(u).toBeGreaterThan(0.0195);
      expect(u).toBeLessThan(0.022);
    }
    // Two tables of 2 % that know nothing of each other tell more than one.
    const other = joinMeasured(curveOf({ element: 0.02, profile: 0.03 }), {
      ...given,
      reference: { ...table, sameTable: false },
    });
    uOf(other.curve)
      .slice(2, -2)
      .forEach((u) => {
        expect(u).toBeLessThan(0.019);
      });
  });

  it("pairs measured elsewhere leave what stands ahead in the car in the budget", () => {
    const housing = (bore: number): Housing => ({
      section: { shape: "round", bore: { value: mm(bore), u: 0 } },
      blockage: { value: mm2(0), u: 0 },
      element: { from: 0, to: 0.3 },
      run: { value: mm(45), u: 0 },
      upstream: "filter box",
      step: mm(0),
    });
    const predicted = curveOf({ bore: 0.01, installation: 0.03 * Math.SQRT2 });
    const given = { pairs: pairsAt(signals, flowAt), reference: standard, betweenDays: 0.002 };
    const elsewhere = { from: housing(74), to: housing(86) };
    for (const u of uOf(joinMeasured(predicted, { ...given, elsewhere }).curve))
      expect(u).toBeGreaterThan(0.03);
    for (const u of uOf(joinMeasured(predicted, given).curve)) expect(u).toBeLessThan(0.012);
  });

  it("says when pairs and prediction cannot both be right", () => {
    const far = joinMeasured(curveOf({ bore: 0.005 }), {
      pairs: pairsAt(signals, (signal) => flowAt(signal) * 1.09),
      reference: standard,
      betweenDays: 0.005,
    });
    expect(far.chance).toBeLessThan(1e-6);
    for (const off of far.offBy) expect(off).toBeGreaterThan(5);
    const near = joinMeasured(curveOf({ bore: 0.03 }), {
      pairs: pairsAt(signals, flowAt),
      reference: standard,
      betweenDays: 0.01,
    });
    expect(near.chance).toBeGreaterThan(0.5);
  });

  it("95 % intervals of 400 drawn swaps and benches hold the truth in 93 to 97 % of cells", () => {
    const random = seededRandom(20_416);
    const budget = { bore: 0.01, profile: 0.02, element: 0.015 };
    const covariance = budgetCovariance(curveOf(budget));
    const factor = lowRankFactor(
      (i, j) => covariance[i]?.[j] as number,
      covariance.map((row, i) => row[i] as number),
      1e-6,
    );
    const z = new Float64Array(factor.width);
    let [inside, all] = [0, 0];
    for (let turn = 0; turn < 400; turn++) {
      for (let k = 0; k < z.length; k++) z[k] = random.normal();
      const predicted = curveOf(budget, (i) => dot(factor.rows, factor.width, i, z, 0));
      const scale = 0.01 * random.normal();
      const days = [0.01 * random.normal(), 0.01 * random.normal()];
      const pairs = [2400, 3600, 4800, 7200, 9600].flatMap((signal) =>
        days.map((day, k) => ({
          signal,
          flow: flowAt(signal) * Math.exp(scale + day + 0.004 * random.normal()),
          u: 0.004,
          day: k,
        })),
      );
      // The day-to-day part is stated as it is; what two days add to it is part of the method.
      const { curve } = joinMeasured(predicted, { pairs, reference: standard, betweenDays: 0.01 });
      curve.cells.forEach((cell, i) => {
        all += 1;
        const off = Math.log(cell.flow / flowAt(signals[i] as number)) / combinedUncertainty(cell.budget);
        inside += Number(Math.abs(off) < 1.96);
      });
    }
    expect(inside / all).toBeGreaterThan(0.93);
    expect(inside / all).toBeLessThan(0.97);
  });

  it.each([
    ["a pair outside the prediction", { signal: 900, flow: 0.01, u: 0.01 }, /pairs\[0\]\.signal/],
    ["no flow", { signal: 3000, flow: 0, u: 0.01 }, /pairs\[0\]\.flow/],
    ["a pair that is certain", { signal: 3000, flow: 0.01, u: 0 }, /pairs\[0\]\.u/],
  ])("refuses %s", (_, pair, message) => {
    expect(() =>
      joinMeasured(curveOf({ bore: 0.01 }), { pairs: [pair], reference: standard, betweenDays: 0.01 }),
    ).toThrow(message);
  });
  it("refuses pairs that turn the curve over, in words", () => {
    const pairs = [
      { signal: 4000, flow: flowAt(4000) * 1.6, u: 1e-4 },
      { signal: 4400, flow: flowAt(4400) * 0.7, u: 1e-4 },
    ];
    const wild = { pairs, reference: { kind: "standard", u: 0 }, betweenDays: 0 } as const;
    expect(() => joinMeasured(curveOf({ law: 0.3 }), wild)).toThrow(/no longer rises/);
  });
});
