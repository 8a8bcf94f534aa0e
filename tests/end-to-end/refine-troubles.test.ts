import { makeTransferCurve } from "bellmouth/sensor";
import { describe, expect, it } from "vitest";
import { playCase, type ScoreCase, scoreCases } from "../bench/refine/cases.js";
import { estimate } from "../bench/refine/estimate.js";
import { type Figures, figures } from "../bench/refine/figures.js";
import { type CaseScore, scoreCase } from "../bench/refine/score-case.js";

/**
 * The short form of the scoring (tests/bench/refine): a few cars of its development set, each trouble that was once answered with a
 * wrong table and a confident word. Limits are those of the long form, wider only where so few cars cannot tell.
 *
 * @source Truth of simulated cars; packages/simulator shares nothing with the estimator.
 */
const cases = scoreCases("development", { clean: 1, trouble: 3, table: 1 });
const caseOf = (group: string, which = 0): ScoreCase => {
  const found = cases.filter((one) => one.group === group)[which];
  if (found === undefined) throw new Error(`no case ${which} of ${group}`);
  return found;
};
const scored = (
  ...given: readonly ScoreCase[]
): { readonly all: Figures; readonly each: readonly CaseScore[] } => {
  const each = given.map((one) => scoreCase(one));
  return { all: figures(each), each };
};

describe("refinement of cars with an ordinary trouble", { timeout: 300_000 }, () => {
  it.each([
    { size: 3, which: 1 },
    { size: 10, which: 2 },
  ])(
    "S1: a short reversion pulse of $size % names no leak, leans no evidenced cell, tells the region",
    ({ size, which }) => {
      const { all } = scored(caseOf(`reversion input ${size} %`, which));
      expect(all.evidenced).toBeGreaterThan(15);
      expect(all.named).toBe(0);
      expect(all.regionTold).toBe(1);
      expect(all.worstLean).toBeLessThanOrEqual(3);
      expect(all.coverUndriven).toBe(100);
    },
  );

  it("S8: trims alone do not lean the evidenced cells", () => {
    const { all } = scored(caseOf("trims only"), caseOf("trims wind up"), caseOf("trims held"));
    expect(all.evidenced).toBeGreaterThan(30);
    expect(all.worstLeaned).toBeLessThanOrEqual(4);
    expect(all.cover).toBeGreaterThanOrEqual(85);
  });

  it("S9: drives that differ widen the intervals by what they differ", () => {
    const { all } = scored(caseOf("drives differ"), caseOf("drives differ", 1));
    expect(all.evidenced).toBeGreaterThan(30);
    expect(all.cover).toBeGreaterThanOrEqual(80);
    expect(all.offCells).toBe(0);
  });

  it("S10: cells that were not driven, and those above the last driven one, lie inside their intervals", () => {
    const { all } = scored(caseOf("clean, town and pulls"), caseOf("clean, long delay"));
    expect(all.coverBy.above).toBeGreaterThanOrEqual(85);
    expect(all.coverUndriven).toBeGreaterThanOrEqual(90);
    expect(all.cover).toBeGreaterThanOrEqual(88);
  });

  it("S18: on tables of 16 and 24 cells the curve lies inside its interval at the driven cells", () => {
    const { all } = scored(caseOf("table of 16 cells"), caseOf("table of 24 cells"));
    expect(all.cover).toBeGreaterThanOrEqual(90);
    expect(all.rms.mean).toBeLessThanOrEqual(0.6);
  });

  it("S19: fuel that is off by a common factor lies inside the flow interval without an old-meter drive", () => {
    const { all } = scored(caseOf("fuel scale"), caseOf("lambda sensor offset"));
    expect(all.coverFlow).toBeGreaterThanOrEqual(90);
    expect(all.named).toBe(0);
  });

  it("S9: a log that is listed twice counts once, and is told of", () => {
    const { table, logs } = playCase(caseOf("clean, 8-minute drive"));
    const [once, twice] = [logs, [...logs, ...logs]].map((given) => estimate(table, given));
    expect(twice!.codes).toContain("repeated log");
    expect(once!.codes).not.toContain("repeated log");
    twice!.shape.forEach(([low, high], i) => {
      const [lowOnce, highOnce] = once!.shape[i]!;
      expect(low / lowOnce).toBeCloseTo(1, 9);
      expect(high / highOnce).toBeCloseTo(1, 9);
    });
  });

  it("S20: a correction beyond the plan's own interval says so", () => {
    const { table, logs } = playCase(caseOf("clean, 8-minute drive"));
    // The budgets stay: they promise 3 %, and the table is 17 % off besides what it was.
    const off = makeTransferCurve({
      ...table,
      cells: table.cells.map((cell) => ({ ...cell, flow: cell.flow / 1.17 })),
    });
    const far = logs.map((log) => ({ ...log, airflow: log.airflow.map((flow) => flow / 1.17) }));
    const lambda = far.map((log) => ({ ...log, lambda: log.lambda.map((value) => value * 1.17) }));
    expect(estimate(off, lambda).codes).toContain("beyond the plan");
    expect(estimate(table, logs).codes).not.toContain("beyond the plan");
  });

  it("S21: a lambda sensor that is stuck for a whole drive is told of, and that drive left out", () => {
    const { table, logs } = playCase(caseOf("lambda sensor stuck"));
    const [both, sound] = [logs, logs.slice(0, 1)].map((given) => estimate(table, given));
    expect(both!.codes).toContain("lambda stands still");
    expect(both!.result.drives.map((drive) => drive.refused?.reason ?? null)).toEqual([
      null,
      "lambda stands still",
    ]);
    both!.flow.forEach((flow, i) => {
      expect(flow / sound!.flow[i]!).toBeCloseTo(1, 9);
    });
  });
});
