import {
  type Between,
  type Curve,
  curveSlope,
  evaluateCurve,
  isotonic,
  makeCurve,
  regridCurve,
} from "bellmouth/curve";
import { describe, expect, it } from "vitest";
import { accuracy } from "../support/accuracy.js";
import { dataCsv, dataJson } from "../support/data.js";
import { cell, worst } from "../support/worst.js";

const curve = (x: readonly number[], y: readonly number[], between: Between): Curve =>
  makeCurve({
    x: { quantity: "ratio", values: x },
    y: { quantity: "ratio", values: y },
    between,
    outside: "refuse",
  });

interface Recorded {
  readonly readings: readonly {
    readonly x: readonly number[];
    readonly y: readonly number[];
    readonly at: readonly number[];
    readonly pchip: readonly number[];
    readonly pchip_derivative: readonly number[];
    readonly linear: readonly number[];
  }[];
  readonly isotonic: readonly {
    readonly y: readonly number[];
    readonly w: readonly number[];
    readonly fit: readonly number[];
  }[];
  readonly lines: readonly {
    readonly kind: string;
    readonly relative: boolean;
    readonly x: readonly number[];
    readonly y: readonly number[];
    readonly axis: readonly number[];
    readonly least: number;
  }[];
}
const recorded = dataJson<Recorded>("reference/curve-scipy.json");
const SCIPY = "SciPy PchipInterpolator, recorded";

describe("monotone cubic", () => {
  it("reads the RPN 14 data as SciPy does, values and slopes", () => {
    const rows = dataCsv("reference/12b-rpn14-pchip.csv");
    const knots = rows.filter((row) => row["is_knot"] === "1");
    const rpn = curve(
      knots.map((row) => cell(row, "x")),
      knots.map((row) => cell(row, "pchip")),
      "monotone cubic",
    );
    const [value, slope] = [worst(), worst()];
    for (const row of rows) {
      const x = cell(row, "x");
      // Values are of the order of 1; the smallest are differences of it, so the deviation is absolute.
      value.add(evaluateCurve(rpn, x), cell(row, "pchip"), 1);
      slope.add(curveSlope(rpn, x), cell(row, "pchip_derivative"), 1);
    }
    const shared = {
      area: "Curves",
      evidence: "other implementation",
      source: "Data: Fritsch, Carlson, SIAM J. Numer. Anal. 17 (1980) 238-246; values: SciPy 1.10.1",
      limit: 1e-10,
      unit: "absolute on values of about 1, worst",
    } as const;
    accuracy({ id: "curve-pchip-rpn14", what: "monotone cubic on RPN 14", ...shared, ...value.result() });
    accuracy({
      id: "curve-pchip-rpn14-slope",
      what: "slope of the monotone cubic on RPN 14",
      ...shared,
      ...slope.result(),
    });
  });

  it("reads a table as SciPy does, and straight lines as NumPy does", () => {
    const { knots_x, knots_y } = dataJson<{ knots_x: number[]; knots_y: number[] }>(
      "reference/12c-pchip-knots.json",
    );
    const [cubic, lines] = [worst(), worst()];
    for (const row of dataCsv("reference/12c-pchip-table-lookup.csv")) {
      const x = cell(row, "x");
      cubic.add(evaluateCurve(curve(knots_x, knots_y, "monotone cubic"), x), cell(row, "pchip"), 1);
      cubic.add(curveSlope(curve(knots_x, knots_y, "monotone cubic"), x), cell(row, "derivative"), 1);
      lines.add(evaluateCurve(curve(knots_x, knots_y, "straight"), x), cell(row, "linear"), 1);
    }
    const shared = { area: "Curves", evidence: "other implementation", limit: 1e-10 } as const;
    accuracy({
      id: "curve-pchip-table",
      what: "monotone cubic and its slope in a table lookup",
      source: "SciPy 1.10.1 PchipInterpolator",
      unit: "absolute on values up to 14, worst",
      ...shared,
      ...cubic.result(),
    });
    accuracy({
      id: "curve-linear-table",
      what: "straight lines in a table lookup",
      source: "NumPy 1.24.2 interp",
      unit: "absolute on values up to 14, worst",
      ...shared,
      ...lines.result(),
    });
  });

  it("reads random uneven curves of 2 to 60 breakpoints as SciPy does", () => {
    const [value, slope, lines] = [worst(), worst(), worst()];
    for (const { x, y, at, pchip, pchip_derivative, linear } of recorded.readings) {
      const cubic = curve(x, y, "monotone cubic");
      const straight = curve(x, y, "straight");
      const size = Math.max(...y) - Math.min(...y);
      const steepest = Math.max(
        ...y
          .slice(1)
          .map((v, i) => Math.abs((v - (y[i] as number)) / ((x[i + 1] as number) - (x[i] as number)))),
      );
      at.forEach((p, i) => {
        value.add(evaluateCurve(cubic, p), pchip[i] as number, size);
        slope.add(curveSlope(cubic, p), pchip_derivative[i] as number, steepest);
        lines.add(evaluateCurve(straight, p), linear[i] as number, size);
      });
    }
    const shared = {
      area: "Curves",
      evidence: "other implementation",
      limit: 1e-10,
      unit: "of the curve's range or steepest slope, worst",
    } as const;
    accuracy({
      id: "curve-pchip-random",
      what: "monotone cubic, random curves",
      source: SCIPY,
      ...shared,
      ...value.result(),
    });
    accuracy({
      id: "curve-pchip-random-slope",
      what: "slope of the monotone cubic, random curves",
      source: SCIPY,
      ...shared,
      ...slope.result(),
    });
    accuracy({
      id: "curve-linear-random",
      what: "straight lines, random curves",
      source: "NumPy interp, recorded",
      ...shared,
      ...lines.result(),
    });
  });
});

describe("isotonic", () => {
  it("fits as two other implementations do", () => {
    const w = worst();
    const lists = [
      ...dataJson<{ y: number[]; w: number[] | null; fit: number[] }[]>("reference/12d-isotonic.json"),
      ...recorded.isotonic,
    ];
    for (const list of lists) {
      const fit = list.w === null ? isotonic(list.y) : isotonic(list.y, list.w);
      expect(fit.length).toBe(list.fit.length);
      fit.forEach((value, i) => {
        w.add(value, list.fit[i] as number, 1);
      });
    }
    accuracy({
      id: "curve-isotonic",
      area: "Curves",
      what: "pool-adjacent-violators fits, equal and unequal weights",
      evidence: "other implementation",
      source:
        "scikit-learn 1.2.1 and SciPy isotonic_regression, recorded; first list: R isoreg help (from memory)",
      ...w.result(),
      // The scikit-learn file prints twelve digits.
      limit: 1e-10,
      unit: "absolute on values of about 1, worst",
    });
  });
});

describe("regridding", () => {
  it("reaches the least error that linear programming finds, rising targets or not", () => {
    const [reached, bound] = [worst(), worst()];
    for (const { x, y, axis, relative, least } of recorded.lines) {
      const fit = regridCurve(
        curve(x, y, "straight"),
        { quantity: "ratio", values: axis },
        {
          fit: "minimax",
          error: relative ? "relative" : "absolute",
          outside: "hold",
          nowhereWorse: false,
        },
      );
      reached.add(Math.abs(fit.executed.worst.error), least);
      bound.add(fit.lowerBound, least);
    }
    const shared = {
      area: "Curves",
      evidence: "other implementation",
      source: "SciPy linprog (HiGHS dual simplex), recorded",
      // HiGHS was asked for 1e-10 on errors that are 1e-3 or more of the values.
      limit: 1e-6,
      unit: "relative, worst",
    } as const;
    accuracy({
      id: "curve-regrid-least",
      what: "largest executed error of fitted lines against the least possible",
      ...shared,
      ...reached.result(),
    });
    accuracy({
      id: "curve-regrid-bound",
      what: "proven lower bound on the executed error of fitted lines",
      ...shared,
      ...bound.result(),
    });
  });
});
