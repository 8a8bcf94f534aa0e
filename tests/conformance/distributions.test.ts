import {
  chiSquaredQuantile,
  fQuantile,
  logGamma,
  normalCdf,
  normalQuantile,
  studentTCdf,
  studentTQuantile,
  xoshiro128,
} from "bellmouth/fit";
import { describe, expect, it } from "vitest";
import { accuracy } from "../support/accuracy.js";
import { dataJson } from "../support/data.js";

const recorded = dataJson<{
  normal: { p: number; z: number }[];
  t: { p: number; v: number; t: number }[];
  chi2: { p: number; v: number; x: number }[];
  f: { p: number; a: number; b: number; x: number }[];
  normalCdf: { z: number; p: number }[];
  logGamma: { x: number; y: number }[];
}>("reference/distributions-mpmath.json");

const relative = (found: number, expected: number): number =>
  expected === 0 ? Math.abs(found) : Math.abs(found - expected) / Math.abs(expected);
const check = (id: string, what: string, errors: readonly number[], limit: number): void =>
  accuracy({
    id,
    area: "Statistics",
    what,
    evidence: "closed form",
    source: "mpmath at 50 digits (tests/data/reference/generate/distributions.py)",
    compared: errors.length,
    measured: Math.max(...errors),
    limit,
    unit: "relative, worst",
  });

describe("distributions against 50-digit arithmetic", () => {
  it("normal", () => {
    check(
      "distribution-normal-quantile",
      "normal quantile",
      recorded.normal.map((row) => relative(normalQuantile(row.p), row.z)),
      1e-13,
    );
    check(
      "distribution-normal-cdf",
      "normal distribution function, to 30 standard deviations",
      recorded.normalCdf.map((row) => relative(normalCdf(row.z), row.p)),
      1e-12,
    );
  });
  it("Student t", () => {
    check(
      "distribution-t-quantile",
      "Student-t quantile",
      recorded.t.map((row) => relative(studentTQuantile(row.p, row.v), row.t)),
      1e-11,
    );
    for (const row of recorded.t) expect(relative(studentTCdf(row.t, row.v), row.p)).toBeLessThan(1e-12);
  });
  it("chi-squared and F", () => {
    check(
      "distribution-chi2-quantile",
      "chi-squared quantile",
      recorded.chi2.map((row) => relative(chiSquaredQuantile(row.p, row.v), row.x)),
      1e-11,
    );
    check(
      "distribution-f-quantile",
      "F quantile",
      recorded.f.map((row) => relative(fQuantile(row.p, row.a, row.b), row.x)),
      1e-11,
    );
  });
  it("log gamma", () => {
    for (const row of recorded.logGamma)
      expect(Math.abs(logGamma(row.x) - row.y)).toBeLessThan(1e-14 * Math.max(1, Math.abs(row.y)));
  });
  // JCGM 100:2008 (GUM), table G.2, two-sided 95 %; the digits are from memory and agree with the recorded values above.
  it.each([
    [1, 12.71],
    [2, 4.3],
    [3, 3.18],
    [4, 2.78],
    [5, 2.57],
    [10, 2.23],
    [20, 2.09],
    [50, 2.01],
  ])("Student t of the GUM's table G.2 at %i degrees", (degrees, printed) => {
    expect(studentTQuantile(0.975, degrees)).toBeCloseTo(printed, 2);
  });
});

describe("xoshiro128**", () => {
  // First outputs from state 1, 2, 3, 4 of Blackman and Vigna's reference program, version 1.1, as printed in the
  // tests of the rand_xoshiro package.
  it("gives the published sequence", () => {
    const next = xoshiro128([1, 2, 3, 4]);
    expect(Array.from({ length: 10 }, next)).toEqual([
      11520, 0, 5927040, 70819200, 2031721883, 1637235492, 1287239034, 3734860849, 3729100597, 4258142804,
    ]);
  });
});
