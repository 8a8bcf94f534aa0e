import { describe, expect, it } from "vitest";
import { figures, figuresByGroup } from "./figures.js";
import { accuracyRows } from "./rows.js";
import type { CaseScore, CellScore } from "./score-case.js";

const cell = (part: Partial<CellScore>): CellScore => ({
  region: "light load",
  driven: true,
  evidenced: true,
  start: 0.05,
  mean: 0,
  shape: [-0.01, 0.01],
  interval: [-0.03, 0.03],
  written: 0,
  practice: 0.02,
  oracle: 0.002,
  oracleU: 0.002,
  ...part,
});
const score = (group: string, cells: readonly CellScore[], part: Partial<CaseScore> = {}): CaseScore => ({
  group,
  seed: 1,
  car: 1,
  cells,
  named: null,
  region: null,
  codes: [],
  refused: false,
  executed: { before: 0.03, after: 0.003 },
  seconds: { refine: 1 },
  ...part,
});

describe("the score's figures", () => {
  it("count cells inside their interval, by region, and those off by more than twice it", () => {
    const off = cell({ mean: 0.03, shape: [0.02, 0.04], interval: [0, 0.06] });
    const idle = cell({ region: "idle", mean: 0.015, shape: [0.005, 0.025] });
    const undriven = cell({ region: "above", driven: false, evidenced: false, interval: [0.01, 0.05] });
    const f = figures([score("purge", [cell({}), cell({}), off, idle, undriven])]);
    expect(f.cover).toBe(50);
    expect(f.coverFlow).toBe(100);
    expect(f.coverBy).toMatchObject({ idle: 0, above: 0, "high load": null });
    expect(f.coverUndriven).toBe(0);
    expect(f.offCells).toBe(1);
    expect(f.driven).toBe(4);
  });

  it("take each car's mean error off before the shape is judged", () => {
    const far = [0.02, 0.021, 0.019].map((mean) => cell({ mean, shape: [mean - 0.005, mean + 0.005] }));
    const f = figures([score("fuel scale", far)]);
    expect(f.cover).toBe(0);
    expect(f.coverCentred).toBe(100);
  });

  it("tell what a method made lean from what it left lean", () => {
    const left = cell({ start: -0.08, written: -0.08 });
    const made = cell({ start: 0.01, written: -0.05 });
    expect(figures([score("leak", [left])])).toMatchObject({ worstLeaned: 0 });
    expect(figures([score("leak", [left])]).worstLean).toBeCloseTo(7.69, 2);
    expect(figures([score("leak", [made])]).worstLeaned).toBeCloseTo(4.88, 2);
    expect(figures([score("leak", [cell({ ...made, evidenced: false })])]).worstLean).toBe(0);
  });

  it("know right names from wrong ones", () => {
    const named = (group: string, name: string) => {
      const { namedRight, namedWrong } = figures([score(group, [cell({})], { named: name })]);
      return [namedRight, namedWrong];
    };
    expect(named("leak", "leak")).toEqual([1, 0]);
    expect(named("injector offset", "leak")).toEqual([0, 1]);
    expect(named("clean, town and pulls", "leak")).toEqual([0, 1]);
    expect(named("reversion input 3 %", "leak")).toEqual([0, 1]);
  });

  it("pool groups, and a target that is missed says so", () => {
    const sure = cell({ mean: 0.03, shape: [0.025, 0.035] });
    const groups = figuresByGroup([score("purge", [sure, sure]), score("reversion", [cell({}), cell({})])]);
    const pool = "troubles in a part of speed and load, and drives that differ";
    expect(groups[pool]).toMatchObject({ cases: 2, cover: 50 });
    const rows = accuracyRows(groups, {});
    const missed = rows.filter((row) => row.measured > row.limit).map((row) => row.what);
    expect(missed.some((what) => what.startsWith(`${pool}: evidenced cells inside`))).toBe(true);
    expect(missed.some((what) => what.startsWith("reversion: "))).toBe(false);
    expect(new Set(rows.map((row) => row.id)).size).toBe(rows.length);
  });
});
