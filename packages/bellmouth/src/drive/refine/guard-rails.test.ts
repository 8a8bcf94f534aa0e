import { describe, expect, it } from "vitest";
import { guardRails } from "./guard-rails.js";

describe("guard rails", () => {
  it("leaves a modest, rising correction alone", () => {
    const { flow, held } = guardRails([1, 2, 3], [0.01, 0, -0.01], 0.12);
    expect(flow[0]).toBeCloseTo(Math.exp(0.01), 12);
    expect(flow[2]).toBeCloseTo(3 * Math.exp(-0.01), 12);
    expect(held).toEqual([null, null, null]);
  });
  it("holds a large one at the limit and says so", () => {
    const { flow, held } = guardRails([1, 2, 3], [0, 0.5, 0], 0.12);
    expect(flow[1]).toBeCloseTo(2 * 1.12, 12);
    expect(held[1]).toBe("largest change");
  });
  it("never folds the table, whatever it is given", () => {
    const { flow, held } = guardRails([1, 1.01, 1.02, 5], [0.1, -0.1, -0.1, 0], 0.12);
    for (let i = 1; i < flow.length; i++) expect(flow[i]!).toBeGreaterThan(flow[i - 1]!);
    expect(held[1]).toBe("order");
  });
});
