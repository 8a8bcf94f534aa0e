import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { kilogramsPerSecond } from "../../units/index.js";
import { makeTransferCurve, type TransferCell, type TransferCurve } from "../transfer-curve.js";
import { biasRich } from "./bias-rich.js";
import { inspectTable } from "./inspect-table.js";

const cell = (signal: number, flow: number, more: Partial<TransferCell> = {}): TransferCell => ({
  signal,
  flow,
  origin: "rescaled",
  budget: { profile: 0.03 },
  flags: [],
  ...more,
});
const wanted = makeTransferCurve({
  signal: "voltage",
  outside: "hold",
  cells: [cell(1, 0.004), cell(2, 0.02), cell(3, 0.07), cell(4, 0.18), cell(5, 0.38)],
});
const options = { highFlowFrom: kilogramsPerSecond(0.05), readsLow: "mark" } as const;
const stored = (change: (cells: TransferCell[]) => void): TransferCurve => {
  const cells = wanted.cells.map((one) => ({ ...one }));
  change(cells);
  return { ...wanted, cells };
};

describe("inspectTable", () => {
  it("finds nothing in a table that follows its curve", () => {
    const result = inspectTable(wanted, wanted, options);
    expect(result).toMatchObject({ refused: false, findings: [] });
    expect(result.lowest?.error).toBeCloseTo(0, 12);
  });
  it("refuses flows that fall or repeat", () => {
    const falls = stored((cells) => {
      cells[2] = cell(3, 0.02);
      cells[4] = cell(5, 0.17);
    });
    const result = inspectTable(wanted, falls, options);
    expect(result.refused).toBe(true);
    expect(result.findings[0]).toMatchObject({
      code: "not-increasing",
      level: "danger",
      cells: [2, 4],
      signal: 5,
    });
    expect(result.cells[2]?.flags).toContain("not increasing");
  });
  it("refuses cells past the measured ones that do not say so, and takes those that do", () => {
    const longer = [...wanted.cells, cell(6, 0.7)];
    const bare = inspectTable(wanted, { ...wanted, cells: longer }, options);
    expect(bare.findings).toMatchObject([
      { code: "unflagged-extrapolation", level: "danger", cells: [5], signal: 6 },
    ]);
    const said = [...wanted.cells, cell(6, 0.7, { flags: ["extrapolated"], origin: "extrapolated" })];
    expect(inspectTable(wanted, { ...wanted, cells: said }, options).refused).toBe(false);
    // The curve itself was carried on by a law past 4 V.
    const carried = makeTransferCurve({
      ...wanted,
      cells: wanted.cells.map((one, i) =>
        i === 4 ? { ...one, origin: "extrapolated" as const, flags: ["extrapolated" as const] } : one,
      ),
    });
    expect(inspectTable(carried, wanted, options).findings[0]).toMatchObject({ cells: [4] });
  });
  it("marks or refuses a table that reads low at high flow by more than the curve's uncertainty", () => {
    const lean = stored((cells) => {
      cells[3] = cell(4, 0.18 * 0.96);
    });
    const marked = inspectTable(wanted, lean, options);
    expect(marked.refused).toBe(false);
    expect(marked.findings).toMatchObject([{ code: "reads-low", level: "mark", cells: [3], signal: 4 }]);
    expect(marked.findings[0]?.worst).toBeCloseTo(-0.04, 12);
    expect(marked.cells[3]?.flags).toEqual(["reads low"]);
    expect(inspectTable(wanted, lean, { ...options, readsLow: "danger" }).refused).toBe(true);
  });
  it("within the uncertainty, or at low flow, it is not marked", () => {
    const near = stored((cells) => {
      cells[3] = cell(4, 0.18 * 0.975);
      cells[0] = cell(1, 0.004 * 0.5);
    });
    expect(inspectTable(wanted, near, options).findings).toEqual([]);
  });
  it("looks between breakpoints: a coarse table under a curve that bulges reads low there", () => {
    const bulging = makeTransferCurve({
      ...wanted,
      cells: [cell(1, 0.01), cell(2, 0.1), cell(3, 0.15), cell(4, 0.18)],
    });
    const coarse = { ...wanted, cells: [cell(1, 0.01), cell(4, 0.18)] };
    const result = inspectTable(bulging, coarse, options);
    expect(result.findings[0]).toMatchObject({ code: "reads-low", cells: [0, 1], signal: 2 });
    expect(result.lowest).toEqual({ signal: 2, error: expect.closeTo((0.01 + 0.17 / 3) / 0.1 - 1, 12) });
  });
  it("refuses to compare volts with hertz, and tables that are none", () => {
    expect(() => inspectTable(wanted, { ...wanted, signal: "frequency" }, options)).toThrow(/E_SIGNAL_KIND/);
    expect(() => inspectTable(wanted, { ...wanted, cells: [] }, options)).toThrow(/E_SHAPE/);
    const nan = stored((cells) => {
      cells[1] = cell(2, Number.NaN);
    });
    expect(() => inspectTable(wanted, nan, options)).toThrow(/E_DOMAIN/);
  });
});

describe("biasRich", () => {
  it("raises high-flow cells by k uncertainties and says so", () => {
    const rich = biasRich(wanted, { k: 2, from: kilogramsPerSecond(0.07) });
    expect(rich.cells.map(({ flow }) => flow)).toEqual([0.004, 0.02, 0.07 * 1.06, 0.18 * 1.06, 0.38 * 1.06]);
    expect(rich.cells.map(({ flags }) => flags.length)).toEqual([0, 0, 1, 1, 1]);
    expect(rich.cells[4]?.flags).toEqual(["biased rich"]);
  });
  it("k of nothing changes nothing", () => {
    expect(biasRich(wanted, { k: 0, from: kilogramsPerSecond(0) })).toEqual(wanted);
  });
  it("keeps the order where a sure cell follows an unsure one", () => {
    const cells = [
      cell(1, 0.1, { budget: { profile: 0.3 } }),
      cell(2, 0.101, { budget: {} }),
      cell(3, 0.2, { budget: {} }),
    ];
    const rich = biasRich(makeTransferCurve({ ...wanted, cells }), { k: 1, from: kilogramsPerSecond(0.05) });
    expect(rich.cells[0]?.flow).toBeCloseTo(0.13, 12);
    expect(rich.cells[1]?.flow).toBeCloseTo(0.1301, 12);
    expect(rich.cells[2]?.flow).toBe(0.2);
    expect(rich.cells[2]?.flags).toEqual([]);
  });
  it("never lowers a cell, never breaks the order", () => {
    const part = fc.double({ min: 0, max: 0.4, noNaN: true });
    const step = fc.double({ min: 1e-5, max: 0.1, noNaN: true });
    fc.assert(
      fc.property(
        fc.array(fc.tuple(step, part), { minLength: 2, maxLength: 40 }),
        fc.double({ min: 0, max: 3, noNaN: true }),
        step,
        (list, k, from) => {
          let flow = 0;
          const cells = list.map(([more, profile], i) => {
            flow += more;
            return cell(i, flow, { budget: { profile } });
          });
          const curve = makeTransferCurve({ ...wanted, cells });
          const rich = biasRich(curve, { k, from: kilogramsPerSecond(from) });
          rich.cells.forEach((one, i) => {
            expect(one.flow).toBeGreaterThanOrEqual(cells[i]?.flow as number);
          });
        },
      ),
      { seed: 4, numRuns: 300 },
    );
  });
  it("refuses more than three uncertainties, or fewer than none", () => {
    expect(() => biasRich(wanted, { k: 4, from: kilogramsPerSecond(0) })).toThrow(/bias\.k/);
    expect(() => biasRich(wanted, { k: -1, from: kilogramsPerSecond(0) })).toThrow(/bias\.k/);
  });
});

describe("a table of 100,000 cells", () => {
  it("is looked over in a time that grows with its length, not its square", () => {
    const cells = Array.from({ length: 100_000 }, (_, i) => cell(i, 1e-3 + i * 1e-6));
    const long = { ...wanted, cells };
    const lean = { ...long, cells: cells.map((one) => ({ ...one, flow: one.flow * 0.9 })) };
    const started = performance.now();
    const result = inspectTable(makeTransferCurve(long), lean, options);
    expect(result.findings[0]?.cells.length).toBeGreaterThan(50_000);
    // Linear work is some 100 ms; quadratic would be minutes.
    expect(performance.now() - started).toBeLessThan(10_000);
  });
});
