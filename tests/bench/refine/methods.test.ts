import type { SimulatedDrive } from "@bellmouth/simulator";
import { makeTransferCurve } from "bellmouth/sensor";
import { describe, expect, it } from "vitest";
import { playCase, scoreCases } from "./cases.js";
import { cellAverage } from "./cell-average.js";
import { drivenCells, weightsAt } from "./driven-cells.js";
import { oracleOf } from "./score-case.js";
import { invert } from "./symmetric-inverse.js";

const table = makeTransferCurve({
  signal: "frequency",
  cells: [1000, 2000, 3000, 4000].map((signal, i) => ({
    signal,
    flow: 0.01 * (i + 1),
    origin: "rescaled",
    budget: {},
    flags: [],
  })),
  outside: "hold",
});
type Row = { [key in keyof SimulatedDrive["columns"]]?: number };
const logOf = (rows: readonly Row[]): SimulatedDrive["columns"] => {
  const usual: Required<Row> = {
    time: 0,
    signal: 2000,
    airflow: 0.02,
    engineSpeed: 40,
    lambda: 1,
    lambdaTarget: 1,
    shortTrim: 0,
    longTrim: 0,
    coolant: 360,
    intakeAir: 300,
    manifoldPressure: 5e4,
    throttle: 0.2,
    vehicleSpeed: 20,
    barometer: 1e5,
    battery: 14,
  };
  const keys = Object.keys(usual) as (keyof Row)[];
  return Object.fromEntries(
    keys.map((key) => [key, Float64Array.from(rows, (row) => row[key] ?? usual[key])]),
  ) as SimulatedDrive["columns"];
};
const times = (count: number, row: Row): Row[] => Array.from({ length: count }, () => row);

describe("cell averaging", () => {
  it("multiplies a cell by the mean of its fuel errors once it has ten hits", () => {
    const log = logOf([
      ...times(6, { signal: 2040, lambda: 0.9, lambdaTarget: 0.9, shortTrim: 0.1 }),
      ...times(6, { signal: 1990, lambda: 1.02, longTrim: 0.05 }),
      ...times(9, { signal: 3000, lambda: 1.1 }),
    ]);
    const [, second, third] = cellAverage(table, [log], "nearest");
    expect(second).toBeCloseTo(0.02 * ((1.1 + 1.02 * 1.05) / 2), 12);
    expect(third).toBe(0.03);
  });

  it("leaves out cold rows, overrun, and what a fuel cut left in the exhaust", () => {
    const log = logOf([
      ...times(20, { lambda: 1.2, coolant: 330 }),
      ...times(20, { lambda: 1.2, throttle: 0, engineSpeed: 50 }),
      ...times(20, { lambda: 1.5 }),
      ...times(20, { lambda: 1.03 }),
    ]);
    expect(cellAverage(table, [log], "nearest")[1]).toBeCloseTo(0.02 * 1.03, 12);
  });

  it("can share a row between its two cells as the straight line does", () => {
    const log = logOf([...times(30, { signal: 2500, lambda: 1.04 }), ...times(30, { signal: 2000 })]);
    const [, second, third] = cellAverage(table, [log], "weights");
    expect(second).toBeCloseTo(0.02 * ((15 * 1.04 + 30) / 45), 12);
    expect(third).toBeCloseTo(0.03 * 1.04, 12);
  });
});

describe("driven cells", () => {
  it("weigh a signal between its cells and hold the ends", () => {
    expect(weightsAt(table, 2250)).toEqual({ cell: 1, share: 0.25 });
    expect(weightsAt(table, 10)).toEqual({ cell: 0, share: 0 });
    expect(weightsAt(table, 1e6)).toEqual({ cell: 2, share: 1 });
  });

  it("need one second of warm, fuelled driving", () => {
    const rows = Array.from({ length: 45 }, (_, i) => ({ time: i / 20, signal: i < 25 ? 2000 : 3900 }));
    const log = logOf(rows);
    const fuelled = new Float64Array(45).fill(1);
    const drive = (part: object): SimulatedDrive =>
      ({ columns: log, truth: { fuelled, ...part } }) as unknown as SimulatedDrive;
    expect(drivenCells(table, [drive({})])).toEqual([false, true, false, false]);
    expect(drivenCells(table, [drive({}), drive({})])).toEqual([false, true, false, true]);
    expect(drivenCells(table, [drive({ fuelled: new Float64Array(45) })])).toEqual([
      false,
      false,
      false,
      false,
    ]);
  });
});

describe("the oracle", () => {
  it("inverts", () => {
    const matrix = [
      [4, 2, 0.6],
      [2, 3, 0.4],
      [0.6, 0.4, 2],
    ].map((row) => Float64Array.from(row));
    const inverse = invert(matrix);
    for (let i = 0; i < 3; i++) {
      for (let j = 0; j < 3; j++) {
        const product = [0, 1, 2].reduce((sum, k) => sum + matrix[i]![k]! * inverse[k]![j]!, 0);
        expect(product).toBeCloseTo(i === j ? 1 : 0, 12);
      }
    }
  });

  it("is a yardstick: closer than a fifth of the common practice over four drives, and its intervals hold", () => {
    let [squares, practice, cells, covered] = [0, 0, 0, 0];
    for (const one of scoreCases("development", { clean: 4, trouble: 0, table: 0 }).slice(0, 4)) {
      const played = playCase(one);
      const told = oracleOf(played);
      const driven = drivenCells(played.table, played.simulated);
      const averaged = cellAverage(played.table, played.logs, "nearest");
      played.truth.cells.forEach(({ flow }, i) => {
        if (!driven[i]) return;
        squares += (told.flow[i]! / flow - 1) ** 2;
        practice += (averaged[i]! / flow - 1) ** 2;
        cells += 1;
        if (Math.abs(Math.log(told.flow[i]! / flow)) <= 1.96 * told.deviation[i]!) covered += 1;
      });
    }
    expect(cells).toBeGreaterThan(80);
    expect(Math.sqrt(squares / practice)).toBeLessThan(0.2);
    // 95 % nominal; a cell's errors are correlated with its neighbours', so four drives scatter widely.
    expect(covered / cells).toBeGreaterThan(0.8);
  });
});
