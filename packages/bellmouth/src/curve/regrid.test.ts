import { describe, expect, it } from "vitest";
import {
  type Axis,
  evaluateCurve,
  makeCurve,
  type RegridOptions,
  regridCurve,
  type TargetLine,
} from "./index.js";

const line = (at: (x: number) => number): TargetLine => ({ kind: "line", quantity: "mass flow", at });
const axis = (...values: number[]): Axis => ({ quantity: "voltage", values });
const absolute = { error: "absolute", outside: "hold" } as const;
const minimax = (target: TargetLine, on: Axis, over: Partial<RegridOptions> = {}) =>
  regridCurve(target, on, { fit: "minimax", ...absolute, ...over });

describe("regridCurve", () => {
  it("halves the error of sampling a parabola: one segment, known by hand", () => {
    // x^2 on 0 … 1: the chord is 1/4 high at 1/2; lowered by 1/8 it is 1/8 off at three places (Chebyshev).
    const fit = minimax(
      line((x) => x * x),
      axis(0, 1),
    );
    expect(fit.ideal.y.values[0]).toBeCloseTo(-1 / 8, 6);
    expect(fit.ideal.y.values[1]).toBeCloseTo(7 / 8, 6);
    expect(Math.abs(fit.executed.worst.error)).toBeCloseTo(1 / 8, 6);
    expect(fit.lowerBound).toBeCloseTo(1 / 8, 6);
    expect(
      regridCurve(
        line((x) => x * x),
        axis(0, 1),
        { fit: "sample", ...absolute },
      ).executed.worst,
    ).toMatchObject({
      x: expect.closeTo(0.5, 6),
      error: expect.closeTo(1 / 4, 10),
    });
  });
  it("finds the best chain of lines through a corner", () => {
    // |x| on breakpoints -1, 1 can be followed to 1/2 and no better.
    const vee: TargetLine = { ...line(Math.abs), corners: [0] };
    const fit = minimax(vee, axis(-1, 1));
    expect(fit.ideal.y.values).toEqual([expect.closeTo(0.5, 6), expect.closeTo(0.5, 6)]);
    expect(fit.lowerBound).toBeCloseTo(0.5, 6);
  });
  it("returns the curve itself when its breakpoints are among the new ones", () => {
    const curve = makeCurve({
      x: axis(0, 1, 3),
      y: { quantity: "mass flow", values: [1, 2, 9] },
      between: "straight",
      outside: "hold",
    });
    const fit = regridCurve(curve, axis(0, 0.5, 1, 2, 3), { fit: "minimax", ...absolute });
    expect(fit.ideal.y.values).toEqual([1, 1.5, 2, 5.5, 9]);
    expect(fit.executed.worst.error).toBe(0);
  });
  it("reads the target by its own rules where the axis goes past it", () => {
    const curve = makeCurve({
      x: axis(1, 2),
      y: { quantity: "mass flow", values: [1, 2] },
      between: "straight",
      outside: "extend",
    });
    const on = axis(0.5, 1, 2, 3);
    expect(regridCurve(curve, on, { fit: "sample", ...absolute }).ideal.y.values).toEqual([0.5, 1, 2, 3]);
    const held = regridCurve({ ...curve, outside: "hold" }, on, { fit: "sample", ...absolute });
    expect(held.ideal.y.values).toEqual([1, 1, 2, 2]);
    expect(() => regridCurve({ ...curve, outside: "refuse" }, on, { fit: "minimax", ...absolute })).toThrow(
      /E_OUTSIDE/,
    );
  });
  it("keeps a rising target rising where the error alone would not", () => {
    // A long flat step between steep parts: the best lines without the rule would dip.
    const step = line((x) => 5 + 4 * Math.tanh(20 * (x - 1)) + 0.001 * x);
    const values = minimax(step, axis(0, 0.5, 0.9, 1.05, 1.5, 2)).ideal.y.values;
    for (let i = 1; i < values.length; i++) expect(values[i]).toBeGreaterThan(values[i - 1] as number);
  });
  it("asks for a floor where relative errors meet zero", () => {
    const square = line((x) => x * x);
    expect(() => minimax(square, axis(0, 1), { error: "relative" })).toThrow(/floor.*E_DOMAIN/);
    const fit = minimax(square, axis(0, 0.5, 1), { error: "relative", floor: 0.1 });
    expect(Math.abs(fit.executed.worst.error)).toBeLessThan(0.4);
  });
  it("stores breakpoints first, then fits to the breakpoints as stored, then stores values", () => {
    const fit = minimax(
      line((x) => x * x),
      axis(0.01, 1.02, 1.99),
      {
        storage: {
          x: { step: 0.25, offset: 0, from: 0, to: 8 },
          y: { step: 0.01, offset: 0, from: 0, to: 3.5 },
        },
      },
    );
    expect(fit.ideal.x.values).toEqual([0, 1, 2]);
    const { curve } = fit.stored;
    // Unconfined, the first value would be -1/8; the last is beyond the format whatever is done.
    expect(fit.ideal.y.values[0]).toBe(0);
    expect(fit.stored.yFlags).toEqual([[], [], ["clipped"]]);
    const { worst } = fit.executed;
    expect(worst.x).toBe(2);
    expect(worst.executed).toBe(evaluateCurve(curve, 2));
    expect(worst.interpolation + worst.storage + worst.clipping).toBeCloseTo(
      worst.executed - worst.target,
      14,
    );
    expect(worst.clipping).toBeCloseTo(3.5 - (fit.stored.unclipped.y.values[2] as number), 14);
  });
  describe("in order: the worst segment, then the next", () => {
    /** Largest error in each segment, by a reading of its own. */
    const bySegment = (at: (x: number) => number, curve: Parameters<typeof evaluateCurve>[0]): number[] =>
      curve.x.values.slice(1).map((right, i) => {
        const left = curve.x.values[i] as number;
        return Array.from({ length: 401 }, (_, k) => left + ((right - left) * k) / 400)
          .map((x) => Math.abs(evaluateCurve(curve, x) / at(x) - 1))
          .reduce((a, b) => Math.max(a, b), 0);
      });
    it("S16: an axis too coarse at its low end does not ruin the good cells above", () => {
      // 1 to 11 kHz in 21: the first segment is ten times worse than those above whatever is done.
      const law = line((f) => 0.0004 * Math.expm1(f / 1500));
      const on: Axis = {
        quantity: "frequency",
        values: Array.from({ length: 21 }, (_, i) => 1000 + 500 * i),
      };
      const common = { error: "relative", outside: "hold" } as const;
      const sampled = regridCurve(law, on, { fit: "sample", ...common });
      const fitted = regridCurve(law, on, { fit: "minimax", ...common });
      const [was, is] = [sampled, fitted].map(({ ideal }) => bySegment(law.at, ideal)) as [
        number[],
        number[],
      ];
      is.forEach((error, i) => {
        expect(error).toBeLessThanOrEqual((was[i] as number) * 1.0001);
      });
      // Away from the coarse end the lines come down to half of the chords' errors.
      const whole = (errors: readonly number[]): number => errors.slice(6).reduce((a, b) => a + b, 0);
      expect(whole(is)).toBeLessThan(0.55 * whole(was));
    });
    it("S16: as stored, no segment is worse than sampled by more than half a step; S17: flows rise by a step, none below 0", () => {
      let seed = 7;
      const draw = (): number => {
        seed = (seed * 1103515245 + 12345) % 2 ** 31;
        return seed / 2 ** 31;
      };
      let worse = 0;
      let segments = 0;
      for (let run = 0; run < 300; run++) {
        const power = 1.2 + 4 * draw();
        const bend = draw();
        const law = line((x) => 1e-3 * (x / 2) ** power + 2e-4 * bend * Math.sinh(x));
        const count = 3 + Math.floor(40 * draw());
        const from = draw() < 0.5 ? 0 : 0.2 + draw();
        const values = Array.from({ length: count }, (_, i) => from + ((5 - from) * i) / (count - 1));
        const step = 10 ** (-6 + 2 * draw());
        const y = { step, offset: 0, from: 0, to: step * 2 ** 24 };
        const common = {
          error: "relative",
          floor: 2 * step,
          outside: "hold",
          least: 0,
          ...(draw() < 0.3 ? {} : { storage: { y } }),
        } as const;
        const on: Axis = { quantity: "voltage", values };
        const [sampled, fitted] = (["sample", "minimax"] as const).map((fit) =>
          regridCurve(law, on, { fit, ...common }),
        ) as [ReturnType<typeof regridCurve>, ReturnType<typeof regridCurve>];
        const flows = fitted.stored.curve.y.values;
        const rise = "storage" in common ? step * (1 - 1e-6) : 0;
        flows.forEach((flow, i) => {
          expect(flow).toBeGreaterThanOrEqual(0);
          if (i > 0) expect(flow - (flows[i - 1] as number)).toBeGreaterThan(i > 0 ? rise : 0);
        });
        const half = "storage" in common ? step / 2 : 0;
        const miss = (curve: typeof fitted.ideal, x: number): number =>
          Math.abs(evaluateCurve(curve, x) - law.at(x)) / Math.max(law.at(x), 2 * step);
        values.slice(1).forEach((right, i) => {
          const left = values[i] as number;
          const places = Array.from({ length: 101 }, (_, k) => left + ((right - left) * k) / 100);
          const allowed = places.reduce((a, x) => Math.max(a, miss(sampled.stored.curve, x)), 0);
          segments++;
          const least = Math.max(law.at(left), 2 * step);
          const worst = places.reduce((a, x) => Math.max(a, miss(fitted.stored.curve, x)), 0);
          if (worst > allowed * 1.001 + (half * (1 + 1e-6)) / least) worse++;
        });
      }
      expect(segments).toBeGreaterThan(3000);
      expect(worse).toBe(0);
    });
  });
});
