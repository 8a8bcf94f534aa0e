import { describe, expect, it } from "vitest";
import { seededRandom } from "../../fit/index.js";
import { celsius, metres, mm, mm2 } from "../../units/index.js";
import type { Housing } from "../housing.js";
import {
  combinedUncertainty,
  type ErrorBudget,
  makeTransferCurve,
  type TransferCurve,
} from "../transfer-curve.js";
import { budgetCovariance } from "./covariance.js";
import { dot, lowRankFactor } from "./low-rank.js";
import { monteCarloRescale } from "./monte-carlo.js";
import { rescaleTransferCurve } from "./rescale.js";

const air = { temperature: celsius(25) };
const housing = (bore: number, run: number, u: number): Housing => ({
  section: { shape: "round", bore: { value: mm(bore), u: mm(0.05) } },
  blockage: { value: mm2(310), u: mm2(15) },
  element: { from: 0.05, to: 0.25 },
  run: { value: mm(run), u: mm(u) },
  upstream: "filter in line",
  step: mm(0),
});
const curve = (flows: readonly number[], budget: ErrorBudget = {}): TransferCurve =>
  makeTransferCurve({
    signal: "frequency",
    outside: "hold",
    cells: flows.map((flow, i) => ({
      signal: 1400 + 60 * i,
      flow,
      origin: "measured" as const,
      budget,
      flags: [],
    })),
  });

describe("monteCarloRescale", () => {
  const swap = { from: housing(70, 45, 10), to: housing(84, 60, 15), air };

  it("repeats for a seed", () => {
    const run = (): unknown =>
      monteCarloRescale(curve([0.02, 0.1]), swap, { random: seededRandom(5), draws: 300 });
    expect(run()).toEqual(run());
  });

  it("its tables and blocks give what drawing whole rescales one by one gives", () => {
    // The slow way, without what the laws and the parts ahead leave: sizes and runs drawn, the full rescale run each time.
    const old = curve([0.02, 0.1, 0.3]);
    const random = seededRandom(11);
    const draws = 2000;
    const moved = (h: Housing, evenly: number): Housing => {
      if (h.section.shape !== "round") return h;
      const shift = <T extends number>(q: { value: T; u: number }): { value: T; u: number } => ({
        value: (q.value + q.u * random.normal()) as T,
        u: 0,
      });
      return {
        ...h,
        section: { shape: "round", bore: shift(h.section.bore) },
        blockage: { value: mm2(Math.max(0, evenly * shift(h.blockage).value * 1e6)), u: 0 },
        ...(h.run === "developed"
          ? {}
          : { run: { value: metres(Math.max(1e-3, shift(h.run).value)), u: 0 } }),
      };
    };
    const logs = old.cells.map(() => [] as number[]);
    for (let k = 0; k < draws; k++) {
      const evenly = 1 + 0.3 * random.normal();
      const { curve: now } = rescaleTransferCurve(old, {
        from: moved(swap.from, evenly),
        to: moved(swap.to, evenly),
        air,
      });
      now.cells.forEach(({ flow }, i) => {
        logs[i]?.push(Math.log(flow));
      });
    }
    const fast = monteCarloRescale(old, swap, { random: seededRandom(12), draws: 20_000 });
    const sure = (h: Housing): Housing => (h.run === "developed" ? h : { ...h, run: { ...h.run, u: 0 } });
    const { curve: first } = rescaleTransferCurve(old, { from: sure(swap.from), to: sure(swap.to), air });
    logs.forEach((values, i) => {
      const mean = values.reduce((s, v) => s + v, 0) / draws;
      const u = Math.sqrt(values.reduce((s, v) => s + (v - mean) ** 2, 0) / (draws - 1));
      const { profile = 0, installation = 0 } = (first.cells[i]?.budget ?? {}) as ErrorBudget;
      const withoutLaws = Math.sqrt((fast.cells[i]?.u as number) ** 2 - profile ** 2 - installation ** 2);
      expect(Math.abs(withoutLaws / u - 1)).toBeLessThan(0.06);
      expect(Math.abs(Math.log(fast.cells[i]?.mean as number) - mean)).toBeLessThan(
        (4 * u) / Math.sqrt(draws),
      );
    });
  });

  it("intervals hold 95 % of a normal error: 1.96 u either side", () => {
    const { cells } = monteCarloRescale(curve([0.02, 0.1], { element: 0.02 }), swap, {
      random: seededRandom(2),
      draws: 50_000,
    });
    for (const { mean, low, high, u } of cells) {
      expect(Math.log(high / mean) / u).toBeCloseTo(1.96, 1);
      expect(Math.log(mean / low) / u).toBeCloseTo(1.96, 1);
    }
  });

  it("the same housing: the given table's own errors, all kinds", () => {
    const given = curve([0, 0.02, 0.1], { element: 0.01, law: 0.006, storage: 0.008 });
    const { cells } = monteCarloRescale(
      given,
      { ...swap, to: swap.from },
      { random: seededRandom(4), draws: 20_000 },
    );
    expect(cells[0]).toMatchObject({ mean: 0, u: 0 });
    expect(Math.abs((cells[2]?.u as number) / Math.hypot(0.01, 0.006, 0.008) - 1)).toBeLessThan(0.02);
  });

  it("bores measured with one gauge: correlation lowers the spread as first order says", () => {
    const wide = (bore: number): Housing => ({
      ...housing(bore, 1e-6, 0),
      section: { shape: "round", bore: { value: mm(bore), u: mm(bore * 0.01) } },
      blockage: { value: mm2(0), u: mm2(0) },
    });
    const together = { from: wide(70), to: wide(84), air, correlation: { bore: 0.9 } };
    const drawn = monteCarloRescale(curve([0.02, 0.1]), together, { random: seededRandom(6), draws: 20_000 });
    const first = rescaleTransferCurve(curve([0.02, 0.1]), together);
    // 2 % each, correlated 0.9: sqrt(2 (1 - 0.9)) 2 %.
    const budget = first.curve.cells[1]?.budget as ErrorBudget;
    expect(budget.bore).toBeCloseTo(0.02 * Math.sqrt(0.2), 5);
    expect(Math.abs((drawn.cells[1]?.u as number) / combinedUncertainty(budget) - 1)).toBeLessThan(0.02);
  });

  it.each([99, Number.NaN, 2e6])("refuses %s draws", (draws) => {
    expect(() => monteCarloRescale(curve([0.02, 0.1]), swap, { random: seededRandom(1), draws })).toThrow(
      /draws/,
    );
  });
});

describe("limits", () => {
  const swap = { from: housing(70, 45, 10), to: housing(84, 60, 15), air };
  it("refuses more flows at once than it can hold", () => {
    const long = curve(Array.from({ length: 2001 }, (_, i) => 0.01 + i * 1e-5));
    expect(() => monteCarloRescale(long, swap, { random: seededRandom(1), draws: 10_000 })).toThrow(
      /E_TOO_LARGE/,
    );
  });
  it("refuses correlations that are none, here and first-order", () => {
    const wrong = { ...swap, correlation: { bore: 1.2 } };
    expect(() =>
      monteCarloRescale(curve([0.02, 0.1]), wrong, { random: seededRandom(1), draws: 200 }),
    ).toThrow(/correlation\.bore/);
    expect(() => rescaleTransferCurve(curve([0.02, 0.1]), wrong)).toThrow(/correlation\.bore/);
  });
  it("uncertainties too large for their sizes still give flows", () => {
    const vague = { ...housing(70, 40, 40), blockage: { value: mm2(1500), u: mm2(1500) } };
    const { cells } = monteCarloRescale(
      curve([0.02, 0.1]),
      { ...swap, to: vague },
      { random: seededRandom(1), draws: 5000 },
    );
    for (const { mean, u, low, high } of cells)
      for (const value of [mean, u, low, high]) expect(value).toBeGreaterThan(0);
  });
});

describe("budgetCovariance", () => {
  it("common, smooth and independent parts", () => {
    const flows = [0.01, 0.02, 0.4];
    const c = budgetCovariance(curve(flows, { element: 0.02, profile: 0.03, storage: 0.01 }));
    expect(c[0]?.[0]).toBeCloseTo(0.02 ** 2 + 0.03 ** 2 + 0.01 ** 2, 12);
    // 0.8 squared exponential + 0.2 Matern 3/2, worked here from the flows.
    const like = (ratio: number, length: number): number => {
      const d = Math.log(ratio) / length;
      return 0.8 * Math.exp(-(d ** 2) / 2) + 0.2 * (1 + Math.sqrt(3) * d) * Math.exp(-Math.sqrt(3) * d);
    };
    expect(c[0]?.[1]).toBeCloseTo(0.02 ** 2 * like(2, 2) + 0.03 ** 2 * like(2, 0.5), 12);
    expect(c[0]?.[2]).toBeCloseTo(0.02 ** 2 * like(40, 2) + 0.03 ** 2 * like(40, 0.5), 12);
    expect(c[1]?.[0]).toBe(c[0]?.[1]);
  });
  it("takes another structure, and refuses a length that is none", () => {
    const old = curve([0.01, 0.02], { element: 0.02 });
    expect(budgetCovariance(old, { element: "independent" })[0]?.[1]).toBe(0);
    expect(() => budgetCovariance(old, { element: 0 })).toThrow(/options\.element/);
  });
  it("a cell at no flow shares no smooth error", () => {
    const c = budgetCovariance(curve([0, 0.02], { law: 0.02 }));
    expect(c).toEqual([
      [0.0004, 0],
      [0, 0.0004],
    ]);
  });
});

describe("lowRankFactor", () => {
  it("gives the covariance back to its tolerance, with fewer numbers than cells", () => {
    const n = 60;
    const covariance = (i: number, j: number): number =>
      Math.exp(-0.5 * ((i - j) / 10) ** 2) * (1 + i / n) * (1 + j / n);
    const whole = Array.from({ length: n }, (_, i) => covariance(i, i));
    const { rows, width } = lowRankFactor(covariance, whole);
    expect(width).toBeLessThan(24);
    for (let i = 0; i < n; i += 7) {
      const row = rows.slice(i * width, (i + 1) * width);
      for (let j = 0; j < n; j += 5) {
        const off = Math.abs(dot(rows, width, j, row, 0) - covariance(i, j));
        expect(off).toBeLessThan(2e-3 * Math.sqrt((whole[i] as number) * (whole[j] as number)));
      }
    }
  });
});
