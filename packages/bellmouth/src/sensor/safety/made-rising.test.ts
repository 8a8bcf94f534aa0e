import { describe, expect, it } from "vitest";
import { madeRising } from "./made-rising.js";

const signals = [1, 1.5, 2, 2.5, 3, 3.5];
const u = signals.map(() => 0.02);

describe("madeRising", () => {
  it("leaves a rising table as it is", () => {
    const flows = [0, 1, 2, 3, 4, 5];
    expect(madeRising(signals, flows, u)).toEqual({ flows, moved: [] });
  });
  it("N3: moves two cells that scatter past each other to between them, within their accuracy, and says so", () => {
    const flows = [0.01, 0.02, 0.0405, 0.04, 0.06, 0.08];
    const made = madeRising(signals, flows, u);
    expect(made?.moved.map(({ cell }) => cell)).toEqual([2, 3]);
    made?.flows.forEach((flow, i) => {
      if (i > 0) expect(flow).toBeGreaterThan(made.flows[i - 1] as number);
      expect(Math.abs(flow / (flows[i] as number) - 1)).toBeLessThan(0.06);
    });
  });
  it("moves the less certain cell further", () => {
    const made = madeRising(
      signals,
      [0.01, 0.02, 0.0405, 0.04, 0.06, 0.08],
      [0.02, 0.02, 0.001, 0.02, 0.02, 0.02],
    );
    const [sure, unsure] = made?.moved ?? [];
    expect(Math.abs((sure?.to ?? 0) - (sure?.from ?? 0))).toBeLessThan(
      Math.abs((unsure?.to ?? 0) - (unsure?.from ?? 0)) / 50,
    );
  });
  it("is no help against a slip, a cell without flow, or a table that does not rise at all", () => {
    expect(madeRising(signals, [0.01, 0.02, 0.05, 0.04, 0.06, 0.08], u)).toBeUndefined();
    expect(madeRising(signals, [0.01, 0.02, 0, 0.04, 0.06, 0.08], u)).toBeUndefined();
    expect(madeRising(signals, [0.08, 0.06, 0.04, 0.03, 0.02, 0.01], u)).toBeUndefined();
  });
});
