import { describe, expect, it } from "vitest";
import type { Estimate } from "../estimate.js";
import { decide, type UpgradeOption } from "./decide.js";

const gain = (value: number, half: number): Estimate => ({
  value,
  u: half / 2,
  from: value - half,
  to: value + half,
  degreesOfFreedom: null,
  confidence: 0.95,
});
const housing: UpgradeOption = {
  name: "larger meter housing",
  parts: 180,
  work: [
    { name: "dyno session", cost: 400 },
    { name: "air-temperature table", cost: 40 },
  ],
  gain: gain(3000, 1000),
  headroom: { flowLeft: 0.05, probabilityOver: 0.001 },
};
const cams: UpgradeOption = {
  name: "camshafts",
  parts: 900,
  work: [{ name: "dyno session", cost: 400 }],
  gain: gain(9000, 3000),
  headroom: { flowLeft: -0.01, probabilityOver: 0.8 },
};

describe("decide", () => {
  const table = decide([housing, cams], "EUR");
  it("reckons each option alone", () => {
    const [row] = table.rows;
    expect(row?.total).toBe(620);
    expect(row?.perKilowatt?.value).toBeCloseTo(620 / 3, 10);
    expect(row?.perKilowatt?.from).toBeCloseTo(620 / 4, 10);
    expect(row?.perKilowatt?.to).toBeCloseTo(620 / 2, 10);
    expect((row?.perKilowatt?.value as number) / (row?.perHorsepower?.value as number)).toBeCloseTo(
      1.341022,
      5,
    );
  });
  it("pays shared work once when done together", () => {
    const both = table.rows[2];
    expect(both?.options).toEqual(["larger meter housing", "camshafts"]);
    expect(both?.work).toBe(440);
    expect(both?.saved).toBe(400);
    expect(both?.gain?.value).toBe(12_000);
    expect(both?.gain?.u).toBeCloseTo(Math.hypot(500, 1500), 8);
    expect(both?.flags).toContain("gains added");
  });
  it("has no upper limit of the cost where the gain may be nothing", () => {
    const [row] = decide([{ ...housing, gain: gain(500, 900) }], "EUR").rows;
    expect(row?.perKilowatt?.to).toBeNull();
    expect(row?.flags).toContain("gain not distinguishable from zero");
    expect(decide([{ ...housing, gain: null }], "EUR").rows[0]?.flags).toContain("gain unknown");
  });
  it("says where no headroom is left for the next change", () => {
    expect(table.rows[1]?.flags).toContain("no headroom left");
    expect(table.rows[0]?.flags).not.toContain("no headroom left");
  });
  it("always carries the cautions and never an advice against the law", () => {
    expect(table.cautions.join(" ")).toMatch(/law is local/);
  });
  it("refuses names that are not there", () => {
    expect(() => decide([], "EUR")).toThrow(/E_TOO_LITTLE_DATA/);
    expect(() => decide([housing, housing], "EUR")).toThrow(/E_SHAPE/);
    expect(() => decide([housing, cams], "EUR", [{ options: ["camshafts", "turbo"] }])).toThrow(/E_SHAPE/);
    expect(() => decide([{ ...housing, parts: Number.NaN }], "EUR")).toThrow(/E_DOMAIN/);
  });
  it("N14: a sure loss is named a loss", () => {
    const loss = { value: -2000, u: 200, from: -2400, to: -1600, degreesOfFreedom: null, confidence: 0.95 };
    const [row] = decide([{ name: "pipe", parts: 10, work: [], gain: loss, headroom: null }], "EUR").rows;
    expect(row?.flags).toEqual(["loss shown"]);
    expect(row?.perKilowatt?.value).toBeNull();
  });
  it("N14: work is shared whatever the case of its name, and has one cost", () => {
    const option = (name: string, work: string, cost: number) => ({
      name,
      parts: 100,
      work: [{ name: work, cost }],
      gain: { value: 2000, u: 100, from: 1800, to: 2200, degreesOfFreedom: null, confidence: 0.95 },
      headroom: null,
    });
    const both = decide([option("a", "Tune", 400), option("b", "tune ", 400)], "EUR").rows[2];
    expect(both?.total).toBe(600);
    // Done with the other, either costs its parts alone: 100 over 2 kW.
    expect(both?.withTheOthers.map(({ cost, saved }) => [cost, saved])).toEqual([
      [100, 400],
      [100, 400],
    ]);
    expect(both?.withTheOthers[0]?.perKilowatt?.value).toBeCloseTo(50, 9);
    expect(both?.withTheOthers[0]?.perKilowatt?.to).toBeCloseTo(100 / 1.8, 9);
    expect(() => decide([option("a", "tune", 400), option("b", "tune", 500)], "EUR")).toThrow(/has one cost/);
    expect(() => decide([option("a", "tune", 400), option("A", "tune", 400)], "EUR")).toThrow(/two options/);
  });
});
