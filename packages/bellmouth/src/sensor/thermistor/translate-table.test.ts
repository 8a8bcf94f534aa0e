import { describe, expect, it } from "vitest";
import { evaluateTable, makeTable } from "../../curve/index.js";
import {
  type ElementChange,
  type ElementCircuit,
  readingTranslator,
  temperatureAt,
  translateTable,
  voltageAt,
} from "./index.js";

const old: ElementCircuit = {
  element: { law: "beta", beta: 3500, r0: 2500, t0: 293.15 },
  supply: 5,
  series: 2500,
  elementTo: "ground",
};
const now: ElementCircuit = { ...old, element: { law: "beta", beta: 3900, r0: 2000, t0: 298.15 } };
const change: ElementChange = { old, now, band: { coldest: 253.15, hottest: 373.15 } };
const volts = [0, 0.2, 0.5, 1, 1.5, 2, 2.5, 3, 3.5, 4, 4.5, 5];

describe("readingTranslator", () => {
  const translate = readingTranslator(change, "voltage");
  it("keeps temperature inside the band", () => {
    for (const t of [260, 293, 330, 370])
      expect(translate(voltageAt(now, t))).toBeCloseTo(voltageAt(old, t), 10);
  });
  it("keeps faults, and rises all the way", () => {
    expect(translate(0)).toBeCloseTo(0, 12);
    expect(translate(5)).toBeCloseTo(5, 12);
    expect(translate(6)).toBeCloseTo(5, 12);
    const values = Array.from({ length: 101 }, (_, i) => translate(i / 20));
    values.slice(1).forEach((value, i) => {
      expect(value).toBeGreaterThan(values[i] as number);
    });
  });
  it("works in counts and resistances too", () => {
    const converter = { bits: 10, reference: 5 };
    const counts = readingTranslator({ ...change, converter }, "count");
    expect(counts(511.5)).toBeCloseTo((translate(2.5) / 5) * 1024 - 0.5, 9);
    const ohms = readingTranslator(change, "resistance");
    expect(ohms(2000)).toBeCloseTo(2500 * Math.exp(3500 * (1 / 298.15 - 1 / 293.15)), 6);
    expect(ohms(1e7) / ohms(1e6)).toBeCloseTo(10, 9);
    expect(() => readingTranslator(change, "count")).toThrow(/E_UNIT/);
  });
  it("refuses elements that run against each other", () => {
    expect(() => readingTranslator({ ...change, now: { ...now, elementTo: "supply" } }, "voltage")).toThrow(
      /E_NOT_INVERTIBLE/,
    );
  });
});

describe("translateTable", () => {
  // A correction that depends on temperature and flow, laid out over the old element's volts.
  const flows = [0.01, 0.05, 0.2];
  const wanted = (t: number, flow: number): number => 1 + (293.15 - t) / 400 + flow * (t - 273.15) * 0.01;
  const table = makeTable({
    x: { quantity: "voltage", values: volts },
    y: { quantity: "mass flow", values: flows },
    z: {
      quantity: "ratio",
      values: volts.flatMap((v) =>
        flows.map((flow) => wanted(temperatureAt(old, Math.min(Math.max(v, 0.2), 4.5)), flow)),
      ),
    },
    outside: "hold",
  });
  const options = { fit: "minimax", error: "absolute", outside: "hold" } as const;
  it("says at each temperature what it said before", () => {
    const made = translateTable(table, "x", change, table.x, options);
    const errors = [260, 275, 293, 311, 340, 365].flatMap((t) =>
      [0.01, 0.1, 0.2].map((flow) => {
        const before = evaluateTable(table, voltageAt(old, t), flow);
        return evaluateTable(made.stored, voltageAt(now, t), flow) - before;
      }),
    );
    expect(Math.max(...errors.map(Math.abs))).toBeLessThan(1.05 * Math.abs(made.executed.worst.error));
    expect(Math.abs(made.executed.worst.error)).toBeLessThan(0.05);
    const turned = makeTable({
      x: table.y,
      y: table.x,
      z: {
        quantity: "ratio",
        values: flows.flatMap((_, j) => volts.map((_, i) => table.z.values[i * flows.length + j] as number)),
      },
      outside: "hold",
    });
    const other = translateTable(turned, "y", change, table.x, options);
    expect(other.executed.worst.error).toBeCloseTo(made.executed.worst.error, 6);
  });
  it("is the identity between equal elements", () => {
    const same = translateTable(table, "x", { ...change, now: old }, table.x, { ...options, fit: "sample" });
    same.stored.z.values.forEach((value, i) => {
      expect(value).toBeCloseTo(table.z.values[i] as number, 9);
    });
  });
  it("refuses axes of another kind", () => {
    expect(() => translateTable(table, "y", change, table.y, options)).toThrow(/E_UNIT/);
    expect(() => translateTable(table, "x", change, { quantity: "count", values: [0, 1] }, options)).toThrow(
      /E_UNIT/,
    );
  });
});
