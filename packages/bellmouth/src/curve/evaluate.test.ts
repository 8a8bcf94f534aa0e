import { describe, expect, it } from "vitest";
import { BellmouthError } from "../fault/index.js";
import {
  type Curve,
  curveEvaluator,
  evaluateCurve,
  evaluateInto,
  inverseEvaluator,
  invertCurve,
  makeCurve,
  prepareCurve,
} from "./index.js";

const curve = (over: Partial<Pick<Curve, "between" | "outside">> = {}, y = [0.004, 0.02, 0.18]): Curve =>
  makeCurve({
    x: { quantity: "voltage", values: [1, 2, 4] },
    y: { quantity: "mass flow", values: y },
    between: "straight",
    outside: "hold",
    ...over,
  });

describe("evaluateCurve", () => {
  it("joins breakpoints with straight lines and holds its ends", () => {
    expect([0, 1, 1.5, 2, 3, 4, 5, Number.POSITIVE_INFINITY].map((x) => evaluateCurve(curve(), x))).toEqual([
      0.004,
      0.004,
      0.012,
      0.02,
      expect.closeTo(0.1, 15),
      0.18,
      0.18,
      0.18,
    ]);
  });
  it("carries its end lines on when it extends", () => {
    expect(evaluateCurve(curve({ outside: "extend" }), 0)).toBeCloseTo(-0.012, 15);
    expect(evaluateCurve(curve({ outside: "extend" }), 5)).toBeCloseTo(0.26, 15);
  });
  it("refuses outside when told to, naming the point of a batch", () => {
    const strict = curve({ outside: "refuse" });
    expect(() => evaluateCurve(strict, 0.5)).toThrow(/0\.5.*1 to 4.*E_OUTSIDE/);
    expect(() =>
      evaluateInto(prepareCurve(strict), Float64Array.of(2, Number.NaN, 4.5), new Float64Array(3)),
    ).toThrow(/xs\[2\].*E_OUTSIDE/);
    expect(evaluateCurve(strict, 4)).toBe(0.18);
  });
  it("gives NaN for a missing sample, whatever the rule outside", () => {
    for (const outside of ["hold", "extend", "refuse"] as const) {
      for (const between of ["straight", "monotone cubic"] as const) {
        expect(evaluateCurve(curve({ outside, between }), Number.NaN)).toBeNaN();
        expect(curveEvaluator(curve({ outside, between }))(Number.NaN)).toBeNaN();
      }
    }
  });
  it("counts the points of a batch that lay outside or were missing", () => {
    const out = new Float64Array(6);
    const xs = Float64Array.of(0, 1, 4, 4.5, Number.NaN, 9);
    expect(evaluateInto(prepareCurve(curve()), xs, out)).toEqual({ below: 1, above: 2, missing: 1 });
    expect([...out]).toEqual([0.004, 0.004, 0.18, 0.18, Number.NaN, 0.18]);
  });
  it("refuses an output that is too short", () => {
    expect(() => evaluateInto(prepareCurve(curve()), new Float64Array(3), new Float64Array(2))).toThrow(
      BellmouthError,
    );
  });
  it("reads the same bits before and after an evaluator has prepared itself", () => {
    for (const between of ["straight", "monotone cubic"] as const) {
      const any = curve({ between, outside: "extend" });
      const read = curveEvaluator(any);
      for (let i = 0; i < 3000; i++) {
        const x = 0.5 + (i % 1000) / 240;
        expect(read(x)).toBe(evaluateCurve(any, x));
      }
    }
    const back = inverseEvaluator(curve({}, [9, 5, 1]));
    for (let i = 0; i < 3000; i++)
      expect(back(1 + i / 400)).toBe(invertCurve(curve({}, [9, 5, 1]), 1 + i / 400));
  });
  it("reads a batch as it reads one by one, whichever of four points lies under a breakpoint inside its bucket", () => {
    // Uneven, so that buckets hold breakpoints with points on both sides; values that no other segment's line gives.
    const x = [0, 0.3, 1, 1.1, 2.7, 3, 5.5, 5.6, 8, 11, 11.2, 16];
    const uneven = makeCurve({
      x: { quantity: "ratio", values: x },
      y: { quantity: "ratio", values: x.map((v) => v ** 2 + 3) },
      between: "straight",
      outside: "refuse",
    });
    const prepared = prepareCurve(uneven);
    for (let lane = 0; lane < 4; lane++) {
      // The others at the last breakpoint, which no bucket reaches over.
      const xs = Float64Array.from({ length: 4 * 1000 }, (_, i) =>
        i % 4 === lane ? (16 * (i >> 2)) / 1000 : 16,
      );
      const out = new Float64Array(xs.length);
      evaluateInto(prepared, xs, out);
      expect(Array.from(out)).toEqual(Array.from(xs, (v) => evaluateCurve(uneven, v)));
    }
  });
  it("reads a batch as it reads one by one at, just below and just above even breakpoints", () => {
    const x = Array.from({ length: 12 }, (_, i) => 0.3 + (i * 4.7) / 11);
    const even = makeCurve({
      x: { quantity: "ratio", values: x },
      y: { quantity: "ratio", values: x.map((v) => v ** 2 + 3) },
      between: "straight",
      outside: "hold",
    });
    const prepared = prepareCurve(even);
    expect(prepared.index.even).toBe(true);
    for (const off of [-4e-9, -1e-15, 0, 1e-15, 4e-9]) {
      const xs = Float64Array.from(x, (v) => v + off);
      const out = new Float64Array(xs.length);
      evaluateInto(prepared, xs, out);
      expect(Array.from(out)).toEqual(Array.from(xs, (v) => evaluateCurve(even, v)));
    }
  });
  it("limits the slope at an end beside a turning point", () => {
    // SciPy 1.10.1, PchipInterpolator([0, 1, 2], [0, 1, -4]) at 0.5 and 1.5; unlimited the first would be 1.
    const turning = makeCurve({
      x: { quantity: "ratio", values: [0, 1, 2] },
      y: { quantity: "ratio", values: [0, 1, -4] },
      between: "monotone cubic",
      outside: "hold",
    });
    expect(evaluateCurve(turning, 0.5)).toBeCloseTo(0.875, 14);
    expect(evaluateCurve(turning, 1.5)).toBeCloseTo(-0.5, 14);
    // And so where it goes on along its tangent, of slope 3.
    expect(evaluateCurve({ ...turning, outside: "extend" }, -1)).toBeCloseTo(-3, 14);
  });
  it("finds its segment among breakpoints crowded into one bucket", () => {
    // 400 breakpoints in the first hundred-millionth of the range.
    const x = [...Array.from({ length: 400 }, (_, i) => i * 1e-8), 1000];
    const crowded = makeCurve({
      x: { quantity: "ratio", values: x },
      y: { quantity: "ratio", values: x.map((v) => Math.sqrt(v)) },
      between: "straight",
      outside: "refuse",
    });
    const read = curveEvaluator(crowded);
    for (const v of x) expect(read(v)).toBe(Math.sqrt(v));
    for (let i = 0; i < 400; i++)
      expect(read((i + 0.5) * 1e-8)).toBe(evaluateCurve(crowded, (i + 0.5) * 1e-8));
  });
});

describe("invertCurve", () => {
  it("reads a rising and a falling curve backwards", () => {
    expect(invertCurve(curve(), 0.1)).toBeCloseTo(3, 14);
    expect(invertCurve(curve({}, [9, 5, 1]), 7)).toBeCloseTo(1.5, 14);
    expect(invertCurve(curve({ between: "monotone cubic" }), 0.02)).toBe(2);
  });
  it("applies the rule outside to the range of values", () => {
    expect(invertCurve(curve(), 0.5)).toBe(4);
    expect(invertCurve(curve({ outside: "extend" }), 0.26)).toBeCloseTo(5, 14);
    expect(() => invertCurve(curve({ outside: "refuse" }), 0.5)).toThrow(/E_OUTSIDE/);
  });
  it.each([[[1, 1, 2]], [[1, 3, 2]]])("refuses %j", (y) => {
    expect(() => invertCurve(curve({}, y), 1)).toThrow(/E_NOT_INVERTIBLE/);
  });
  it("refuses to run a flat cubic end backwards", () => {
    const flat = makeCurve({
      x: { quantity: "ratio", values: [0, 1, 2] },
      y: { quantity: "ratio", values: [0, 0.1, 10] },
      between: "monotone cubic",
      outside: "extend",
    });
    expect(() => inverseEvaluator(flat)).toThrow(/E_NOT_INVERTIBLE/);
  });
});

describe("makeCurve", () => {
  it("refuses a line too steep for a double", () => {
    expect(() =>
      makeCurve({
        x: { quantity: "ratio", values: [0, 5e-324] },
        y: { quantity: "ratio", values: [0, 1] },
        between: "straight",
        outside: "hold",
      }),
    ).toThrow(/E_DOMAIN/);
  });
});
