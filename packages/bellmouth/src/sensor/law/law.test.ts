import { describe, expect, it } from "vitest";
import { makeTransferCurve, type TransferCell } from "../transfer-curve.js";
import {
  chooseTransferLaw,
  evaluateLaw,
  extendByLaw,
  extendTransferCurve,
  fitTransferLaw,
  GROWTH_FLOOR,
  invertLaw,
  type LawPoint,
  lawChooser,
  smoothByLaw,
} from "./index.js";

// An invented voltage meter that follows King's law exactly, with or without a ripple of a percent.
const flowAt = (volts: number): number => 0.02 * (volts ** 2 - 0.9) ** 2.2 * 0.05;
const signals = Array.from({ length: 12 }, (_, i) => 1.2 + 0.3 * i);
const exact = signals.map((signal): LawPoint => ({ signal, flow: flowAt(signal) }));
const rippled = exact.map((point, i) => ({ ...point, flow: point.flow * (1 + 0.01 * Math.sin(2 * i)) }));
const cell = (signal: number, flow: number): TransferCell => ({
  signal,
  flow,
  origin: "measured",
  budget: { element: 0.015 },
  flags: [],
});
const curveOf = (points: readonly LawPoint[]) =>
  makeTransferCurve({
    signal: "voltage",
    outside: "hold",
    cells: points.map((point) => cell(point.signal, point.flow)),
  });

describe("fitTransferLaw", () => {
  it("recomputes its residuals from the parameters it returns", () => {
    const law = fitTransferLaw(rippled, { form: "king" });
    for (const residual of law.residuals) {
      const value = evaluateLaw(law, residual.signal);
      expect(residual.percent).toBeCloseTo(100 * (residual.flow / value.flow - 1), 10);
    }
    expect(law.rms).toBeGreaterThan(0.004);
    expect(law.rms).toBeLessThan(0.01);
    expect(law.leaveOneOutRms).toBeGreaterThan(law.rms);
    expect(law.degreesOfFreedom).toBe(9);
  });
  it("gives what a fit without the point misses it by", () => {
    // Exactly so for a fit that is linear in its parameters (D. M. Allen, Technometrics 16 (1974) 125); nearly so for others
    // of many points, for which the same is used to first order.
    const many = Array.from({ length: 60 }, (_, i): LawPoint => {
      const signal = 1.2 + 0.06 * i;
      return { signal, flow: flowAt(signal) * (1 + 0.01 * Math.sin(2 * i)) };
    });
    for (const [points, options, share] of [
      [rippled, { form: "log-log polynomial", degree: 3 }, 1e-8],
      [many, { form: "king" }, 0.05],
    ] as const) {
      const law = fitTransferLaw(points, options);
      law.residuals.forEach((residual, i) => {
        const rest = fitTransferLaw(points.toSpliced(i, 1), options);
        // The law of the rest may not say anything beyond its own points.
        if (i === 0 || i === points.length - 1) return;
        const miss = Math.log(residual.flow / evaluateLaw(rest, residual.signal).flow);
        expect(Math.abs(residual.leftOut - miss)).toBeLessThan(share * law.rms);
        expect(Math.abs(residual.leftOut)).toBeGreaterThan(Math.abs(residual.log));
      });
    }
  });
  it("survives JSON unchanged", () => {
    const law = chooseTransferLaw(rippled, { use: "above" }).law;
    expect(JSON.parse(JSON.stringify(law))).toEqual(law);
  });
  it("names an outlier, and the robust loss is hardly moved by it", () => {
    const spoiled = rippled.map((point, i) => (i === 6 ? { ...point, flow: point.flow * 1.15 } : point));
    const plain = fitTransferLaw(spoiled, { form: "king" });
    expect(plain.residuals.filter((r) => r.outlier).map((r) => r.signal)).toEqual([signals[6]]);
    const robust = fitTransferLaw(spoiled, { form: "king", loss: "student-t" });
    expect(robust.residuals[6]?.weight).toBeLessThan(0.05);
    expect(robust.residuals.filter((r) => r.outlier).map((r) => r.signal)).toEqual([signals[6]]);
    const clean = fitTransferLaw(rippled, { form: "king" });
    const shift = (law: typeof clean) =>
      Math.abs(Math.log(evaluateLaw(law, 3).flow / evaluateLaw(clean, 3).flow));
    expect(shift(robust)).toBeLessThan(shift(plain) / 3);
  });
  it("weights points by their uncertainties", () => {
    const spoiled = rippled.map((point, i) => ({
      ...point,
      flow: i === 6 ? point.flow * 1.15 : point.flow,
      u: i === 6 ? 1 : 0.01,
    }));
    const law = fitTransferLaw(spoiled, { form: "king", spread: "known" });
    const clean = fitTransferLaw(rippled, { form: "king" });
    expect(Math.abs(evaluateLaw(law, 3).flow / evaluateLaw(clean, 3).flow - 1)).toBeLessThan(0.005);
  });
  it("fits a very long table as it fits a short one", () => {
    const long = Array.from({ length: 20_000 }, (_, i): LawPoint => {
      const signal = 1.2 + (3.3 * i) / 19_999;
      return { signal, flow: flowAt(signal) * (1 + 0.01 * Math.sin(i)) };
    });
    const law = fitTransferLaw(long, { form: "king" });
    expect(law.n).toBe(20_000);
    expect(evaluateLaw(law, 3).flow / flowAt(3)).toBeCloseTo(1, 3);
    expect(law.rms).toBeCloseTo(0.01 / Math.SQRT2, 4);
  });
  it.each<[string, LawPoint[]]>([
    ["E_TOO_LITTLE_DATA", exact.slice(0, 3)],
    ["E_DOMAIN", [...exact, { signal: 5, flow: 0 }]],
    ["E_DOMAIN", [...exact, { signal: 5, flow: Number.NaN }]],
    ["E_DOMAIN", [...exact, { signal: Number.NaN, flow: 1 }]],
    ["E_DOMAIN", [...exact, { signal: -1, flow: 1 }]],
    ["E_DOMAIN", exact.map((point) => ({ ...point, u: 0 }))],
    ["E_SHAPE", exact.map((point, i) => (i === 0 ? { ...point, u: 0.01 } : point))],
    ["E_SINGULAR", exact.map((point) => ({ ...point, signal: 2 }))],
    ["E_SINGULAR", exact.map((point) => ({ signal: point.signal, flow: 1 / point.flow }))],
  ])("refuses with %s", (code, points) => {
    for (const form of ["king", "shifted power"] as const) {
      expect(() => fitTransferLaw(points, { form })).toThrow(new RegExp(code));
    }
    expect(() => chooseTransferLaw(points, { use: "within" })).toThrow(new RegExp(code));
  });
});

describe("lawChooser", () => {
  it("chooses as chooseTransferLaw does, use by use", () => {
    const choose = lawChooser(rippled);
    for (const use of ["below", "within", "above", "within"] as const) {
      expect(choose(use)).toEqual(chooseTransferLaw(rippled, { use }));
    }
    const given = extendTransferCurve(curveOf(rippled), { toSignal: 5.1, choose });
    expect(given).toEqual(extendTransferCurve(curveOf(rippled), { toSignal: 5.1 }));
  });
});

describe("evaluateLaw and invertLaw", () => {
  const law = chooseTransferLaw(rippled, { use: "above" }).law;
  it("widens past the points, and at least by the stated floor", () => {
    const last = evaluateLaw(law, 4.5);
    const near = evaluateLaw(law, 4.8);
    const far = evaluateLaw(law, 6);
    expect(last.extrapolated).toBe(false);
    expect(near.extrapolated).toBe(true);
    expect(near.u).toBeGreaterThan(last.u);
    expect(far.u).toBeGreaterThan(near.u);
    expect(far.parts.growth).toBeGreaterThanOrEqual(
      GROWTH_FLOOR.above * Math.log(far.flow / last.flow) * 0.999,
    );
  });
  it("reads a law at its first point also where it turns there", () => {
    const parabola = [1, 1.5, 2, 2.5, 3, 3.5].map(
      (s): LawPoint => ({ signal: s, flow: Math.exp((s - 1) ** 2) }),
    );
    const turning = fitTransferLaw(parabola, { form: "log polynomial", degree: 2 });
    expect(turning.rising.from).toBeCloseTo(1, 9);
    expect(evaluateLaw(turning, 1).flow).toBeCloseTo(1, 9);
    expect(() => evaluateLaw(turning, 0.9)).toThrow(/E_OUTSIDE/);
  });
  it("goes there and back in every form", () => {
    for (const form of ["king", "shifted power", "log polynomial", "log-log polynomial"] as const) {
      const one = fitTransferLaw(rippled, { form });
      for (const signal of [1.2, 2.05, 3.3, 4.5]) {
        expect(invertLaw(one, evaluateLaw(one, signal).flow)).toBeCloseTo(signal, 10);
      }
    }
  });
  it("refuses where the law has no flow", () => {
    const king = fitTransferLaw(exact, { form: "king" });
    expect(() => evaluateLaw(king, 0.5)).toThrow(/E_OUTSIDE/);
    expect(() => evaluateLaw(king, Number.NaN)).toThrow(/E_DOMAIN/);
    expect(() => invertLaw(king, 0)).toThrow(/E_DOMAIN/);
    expect(() => invertLaw(fitTransferLaw(exact, { form: "log polynomial", degree: 2 }), 1e9)).toThrow(
      /E_OUTSIDE/,
    );
  });
});

describe("extending a curve", () => {
  it("asks for no law where no cell is wanted", () => {
    // Two cells are too few for any law.
    const short = curveOf(exact.slice(0, 2));
    const { curve: same, laws } = extendTransferCurve(short, { signals: [] });
    expect(same.cells).toEqual(short.cells);
    expect(laws).toEqual({});
  });
  it("marks what it adds, keeps what was there, and widens", () => {
    const curve = curveOf(rippled);
    const { curve: longer, laws } = extendTransferCurve(curve, { toSignal: 5.1 });
    expect(longer.cells.slice(0, 12)).toEqual(curve.cells);
    const added = longer.cells.slice(12);
    expect(added.map((c) => Number(c.signal.toFixed(9)))).toEqual([4.8, 5.1]);
    for (const one of added) {
      expect(one.origin).toBe("extrapolated");
      expect(one.flags).toEqual(["extrapolated"]);
      expect(one.budget.element).toBe(0.015);
      expect(Math.abs(one.flow / flowAt(one.signal) - 1)).toBeLessThan(2 * (one.budget.law as number));
    }
    expect(added[1]?.budget.law).toBeGreaterThan(added[0]?.budget.law as number);
    expect(laws.above?.tried.length).toBe(4);
    expect(laws.below).toBeUndefined();
  });
  it("fills a gap with fitted cells that an exact law gives exactly", () => {
    const curve = curveOf(exact.filter((_, i) => i !== 5 && i !== 6));
    const missing = [signals[5] as number, signals[6] as number];
    const { curve: filled } = extendTransferCurve(curve, { signals: missing });
    for (const signal of missing) {
      const found = filled.cells.find((c) => c.signal === signal) as TransferCell;
      expect(found.origin).toBe("fitted");
      expect(found.flags).toEqual([]);
      expect(found.flow / flowAt(signal)).toBeCloseTo(1, 6);
    }
  });
  it("starts without a step where the last cells all lie to one side of the law", () => {
    const bent = exact.map((point, i) => ({ ...point, flow: point.flow * (1 + 0.02 * Math.sin(i / 2.5)) }));
    const law = fitTransferLaw(bent, { form: "king" });
    const longer = extendByLaw(curveOf(bent), law, [4.51]);
    const step = Math.log((longer.cells[12]?.flow as number) / (bent[11]?.flow as number));
    const slope = Math.log(evaluateLaw(law, 4.51).flow / evaluateLaw(law, 4.5).flow);
    const plain = Math.log(evaluateLaw(law, 4.51).flow / (bent[11]?.flow as number));
    expect(Math.abs(step - slope)).toBeLessThan(Math.abs(plain - slope) / 2);
  });
  it("keeps cells without flow and extends downwards", () => {
    const curve = makeTransferCurve({
      signal: "voltage",
      outside: "hold",
      cells: [cell(0, 0), ...exact.map((point) => cell(point.signal, point.flow))],
    });
    const { curve: longer } = extendTransferCurve(curve, { toSignal: 1.1 });
    expect(longer.cells.slice(0, 2).map((c) => [c.signal, c.origin])).toEqual([
      [0, "measured"],
      [1.1, "extrapolated"],
    ]);
  });
  it("replaces outliers by the law", () => {
    const spoiled = rippled.map((point, i) => (i === 6 ? { ...point, flow: point.flow * 1.15 } : point));
    const law = fitTransferLaw(spoiled, { form: "king", loss: "student-t" });
    const smooth = smoothByLaw(curveOf(spoiled), law, { cells: "outliers" });
    expect(smooth.cells.map((c) => c.origin)).toEqual(
      signals.map((_, i) => (i === 6 ? "fitted" : "measured")),
    );
    expect(Math.abs((smooth.cells[6]?.flow as number) / flowAt(signals[6] as number) - 1)).toBeLessThan(0.02);
    expect(
      smoothByLaw(curveOf(spoiled), law, { cells: "all" }).cells.every((c) => c.origin === "fitted"),
    ).toBe(true);
  });
  it.each([
    [{ toSignal: 3 }, "E_DOMAIN"],
    [{ toSignal: Number.NaN }, "E_DOMAIN"],
    [{ toSignal: 6, step: 0 }, "E_DOMAIN"],
    [{ toSignal: 6, step: 1e-6 }, "E_TOO_LARGE"],
    [{ signals: [Number.NaN] }, "E_DOMAIN"],
    [{ signals: [0.1] }, "E_OUTSIDE"],
  ])("refuses %j", (options, code) => {
    expect(() => extendTransferCurve(curveOf(exact), options)).toThrow(new RegExp(code));
  });
  it("refuses a table too short to judge a law", () => {
    expect(() => extendTransferCurve(curveOf(exact.slice(0, 4)), { toSignal: 6 })).toThrow(
      /E_TOO_LITTLE_DATA/,
    );
    expect(() => extendTransferCurve(curveOf(exact.slice(0, 2)), { toSignal: 6 })).toThrow(
      /E_TOO_LITTLE_DATA/,
    );
  });
});
