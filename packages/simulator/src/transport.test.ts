import { describe, expect, it } from "vitest";
import { makeTransport } from "./transport.js";

const STEP = 0.01;
/** Age of the arriving gas after a long steady flow [s]. */
const ageAt = (wait: number, flow: number, gasMass: number): number => {
  const transport = makeTransport(STEP, gasMass, 1);
  let age = Number.NaN;
  for (let i = 0; i < 1000; i++) age = transport.step(1, wait, flow).age;
  return age;
};

describe("transport", () => {
  it("takes wait + mass / flow in a steady flow", () => {
    for (const wait of [0.03, 0.12]) {
      for (const flow of [0.003, 0.02, 0.2]) {
        // Ages come in whole steps.
        expect(Math.abs(ageAt(wait, flow, 1.2e-3) - (wait + 1.2e-3 / flow))).toBeLessThan(1.001 * STEP);
      }
    }
  });

  it("lets nothing overtake and loses nothing when the flow changes", () => {
    const transport = makeTransport(STEP, 2e-3, -1);
    let last = -1;
    for (let i = 0; i < 3000; i++) {
      const { value } = transport.step(i, 0.05 + 0.03 * Math.sin(i / 50), 0.03 * (1.2 + Math.sin(i / 170)));
      expect(value).toBeGreaterThanOrEqual(last);
      last = value;
    }
    expect(last).toBeGreaterThan(2900);
  });
});
