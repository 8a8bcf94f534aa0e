import { describe, expect, it } from "vitest";
import { cm2 } from "../../units/index.js";
import {
  lossOnSection,
  squareOfLoss,
  stepLosses,
  suddenContraction,
  suddenExpansion,
} from "./loss-coefficient.js";

describe("loss coefficients", () => {
  it("mean the same loss on any section", () => {
    const k = lossOnSection(0.3, cm2(40), cm2(60));
    expect(squareOfLoss(k, cm2(60))).toBeCloseTo(squareOfLoss(0.3, cm2(40)), 6);
  });
  it("make no loss without a step, and one at each end with", () => {
    expect(stepLosses(cm2(50), { before: cm2(50), after: cm2(50) })).toBe(0);
    const wide = stepLosses(cm2(60), { before: cm2(40), after: cm2(40) });
    expect(wide).toBeCloseTo(
      squareOfLoss(suddenExpansion(cm2(40), cm2(60)) + suddenContraction(cm2(60), cm2(40)), cm2(40)),
      8,
    );
  });
  it("refuse areas that are none", () => {
    expect(() => squareOfLoss(1, cm2(0))).toThrow(/E_DOMAIN/);
    expect(() => suddenExpansion(cm2(50), cm2(40))).toThrow(/E_DOMAIN/);
  });
});
