import { describe, expect, it } from "vitest";
import {
  meanToCentreRatio,
  powerLawExponent,
  powerLawRatio,
  profileFactor,
  profileScatter,
} from "./index.js";
import { laminarFactor, turbulentFactor } from "./shape.js";

const axis = { from: 0, to: 0 };

describe("meanToCentreRatio", () => {
  it("is one half when laminar, and rises all the way", () => {
    expect(meanToCentreRatio(0)).toBe(0.5);
    let before = 0.5;
    for (let x = Math.log(50); x < Math.log(1e7); x += 0.005) {
      const ratio = meanToCentreRatio(Math.exp(x));
      // Level to the last bit while laminar, where rounding may go either way.
      expect(ratio).toBeGreaterThanOrEqual(before - Number.EPSILON / 2);
      expect(ratio).toBeLessThan(1);
      before = ratio;
    }
  });
  it("is smooth: its slope in ln Re never jumps, not even where the turbulent part is held", () => {
    const h = 1e-3;
    const slope = (x: number): number =>
      (meanToCentreRatio(Math.exp(x + h)) - meanToCentreRatio(Math.exp(x - h))) / (2 * h);
    for (let x = Math.log(500); x < Math.log(1e5); x += 0.002) {
      expect(Math.abs(slope(x + 0.002) - slope(x))).toBeLessThan(0.1);
    }
  });
  it.each([-1, Number.NaN, Number.POSITIVE_INFINITY])("refuses a Reynolds number of %s", (re) => {
    expect(() => meanToCentreRatio(re)).toThrow(/E_DOMAIN/);
  });
});

describe("profileFactor", () => {
  it("on the axis is the inverse of the ratio, in every regime", () => {
    for (const re of [500, 2000, 2345, 2600, 4000, 1e5]) {
      expect(profileFactor(re, axis) * meanToCentreRatio(re)).toBeCloseTo(1, 12);
    }
  });
  it("keeps the mean: its ring-weighted average over the section is one", () => {
    // 2 ∫ kappa r dr; r = 1 - t^2 takes the wall's steepness out of the midpoint rule.
    for (const re of [1000, 2345, 2700, 1e4, 1e6]) {
      const n = 4000;
      let sum = 0;
      for (let i = 0; i < n; i++) {
        const t = (i + 0.5) / n;
        const r = 1 - t * t;
        sum += (2 * profileFactor(re, { from: r, to: r }) * r * 2 * t) / n;
      }
      expect(sum).toBeCloseTo(1, 5);
    }
  });
  it("over a span is the average along the radius, down to a point", () => {
    for (const re of [1000, 2400, 5e4]) {
      const n = 2000;
      let sum = 0;
      for (let i = 0; i < n; i++) {
        const r = 0.1 + (0.5 * (i + 0.5)) / n;
        sum += profileFactor(re, { from: r, to: r }) / n;
      }
      expect(profileFactor(re, { from: 0.1, to: 0.6 })).toBeCloseTo(sum, 6);
      const point = profileFactor(re, { from: 0.3, to: 0.3 });
      expect(profileFactor(re, { from: 0.3, to: 0.3 + 2e-6 })).toBeCloseTo(point, 5);
    }
  });
  it("refuses spans and entries out of range", () => {
    expect(() => profileFactor(1e4, { from: -0.1, to: 0.2 })).toThrow(/span\.from/);
    expect(() => profileFactor(1e4, { from: 0.5, to: 0.2 })).toThrow(/span\.to/);
    expect(() => profileFactor(1e4, axis, { distance: -1 })).toThrow(/entry\.distance/);
    expect(() => profileFactor(1e4, axis, { distance: 1, plane: 1 })).toThrow(/entry\.plane/);
    expect(() => profileFactor(Number.NaN, axis)).toThrow(/reynolds/);
  });
});

describe("shapes", () => {
  it("exponent and ratio are each other's inverse", () => {
    for (const n of [1, 2, 5.5, 7, 10, 30]) expect(powerLawExponent(powerLawRatio(n))).toBeCloseTo(n, 9);
  });
  it("the wall is still", () => {
    expect(laminarFactor(1, 1)).toBe(0);
    expect(turbulentFactor(1, 1, 0.82)).toBe(0);
  });
});

describe("profileScatter behind a long pipe", () => {
  const both = (re: number, shape: "round" | "rectangle" = "round"): number => {
    const { law, own } = profileScatter(re, axis, undefined, shape);
    return Math.hypot(law, own);
  };
  it("is tens of percent in transition on the axis, and one to two outside", () => {
    expect(both(2500)).toBeGreaterThan(0.12);
    expect(both(800)).toBeLessThan(0.02);
    expect(both(5e4)).toBeLessThan(0.02);
  });
  it("is wider for a duct that is no pipe", () => {
    expect(both(5e4, "rectangle")).toBeGreaterThan(2 * both(5e4));
  });
  it("is small where laminar and turbulent profiles cross, near r = 0.7", () => {
    const { own } = profileScatter(2500, { from: 0.7, to: 0.7 }, undefined, "round");
    expect(own).toBeLessThan(0.05);
  });
  it("N15: off the axis from Re 2,100 to 4,100 allows for the 5 to 6 % that the 1951 profiles lie off", () => {
    for (const r of [0.3, 0.5, 0.7]) {
      for (const re of [2100, 3000, 4100]) {
        expect(profileScatter(re, { from: r, to: r }, undefined, "round").law).toBeGreaterThan(0.055);
      }
      expect(profileScatter(4e4, { from: r, to: r }, undefined, "round").law).toBeLessThan(0.015);
    }
    expect(profileScatter(3000, axis, undefined, "round").law).toBeLessThan(0.015);
  });
});
