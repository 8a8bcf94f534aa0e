import { readAirflowTable, readThermistorTable } from "bellmouth/document";
import {
  columnOf,
  decodeText,
  readTable,
  readTwoAxisTable,
  writeTable,
  writeTwoAxisTable,
} from "bellmouth/text";
import fc from "fast-check";
import { afterAll, describe, expect, it } from "vitest";
import { fuzzCases } from "../support/fuzz/cases.js";
import { TABLES } from "../support/fuzz/documents.js";
import { mutateBytes, mutateText, mutations } from "../support/fuzz/mutations.js";
import { requireFinite } from "../support/fuzz/require-finite.js";
import { startWatch } from "../support/fuzz/watch.js";

// Tables that were valid until something happened to them: read whole, or refused with faults. What is read is finite and
// rises, and is read again from what is written of it.

const rising = (values: readonly number[], what: string): void => {
  values.forEach((value, i) => {
    if (!(i === 0 || value > (values[i - 1] as number))) throw new Error(`${what} does not rise at ${i}`);
  });
};
const same = (a: readonly number[], b: readonly number[]): void => {
  a.forEach((value, i) => {
    const other = b[i] as number;
    if (!(Math.abs(value - other) <= 4e-16 * Math.abs(value)))
      throw new Error(`${value} read again as ${other}`);
  });
};

function airflow(text: string): void {
  const table = readAirflowTable(text, "frequency", { file: "a.csv" });
  requireFinite(table);
  rising(table.signal, "signal");
  rising(table.flow, "flow");
  const written = writeTable([
    { name: "signal", unit: table.units.signal, dimension: "frequency", values: table.signal },
    { name: "airflow", unit: table.units.flow, dimension: "mass flow", values: table.flow },
  ]);
  if (/nan|infinity|undefined/iu.test(written)) throw new Error(written);
  const again = readAirflowTable(written, "frequency");
  same(table.signal, again.signal);
  same(table.flow, again.flow);
}

function thermistor(text: string): void {
  const table = readThermistorTable(text, { file: "a.csv" });
  requireFinite(table);
  const up = (table.temperature[1] as number) > (table.temperature[0] as number);
  rising(up ? table.temperature : table.temperature.toReversed(), "temperature");
  if (!table.resistance.every((value) => value > 0)) throw new Error("a resistance is not above zero");
}

function twoAxes(text: string): void {
  const spec = { value: "ratio", down: "temperature", across: "mass flow" } as const;
  const table = readTwoAxisTable(text, spec, { file: "a.csv" });
  requireFinite(table);
  rising(table.down.values, "down");
  rising(table.across.values, "across");
  const again = readTwoAxisTable(writeTwoAxisTable(table), spec);
  table.values.forEach((row, i) => {
    same(row, again.values[i] as readonly number[]);
  });
}

function anyColumns(text: string): void {
  const table = readTable(
    text,
    [
      { name: "time", dimensions: ["time"] },
      { name: "airflow", dimensions: ["mass flow"], optional: true },
    ],
    { file: "a.csv", others: "ignore" },
  );
  requireFinite(columnOf(table, "time").values);
}

const twoAxisText =
  "correction [%] by temperature [degC] and airflow [g/s],2,10,50\n-20,3,2,1\n20,0,0,0\n80,-4,-3,-2.5\n";
const starts: readonly (readonly [string, (text: string) => void])[] = [
  [TABLES["meter.csv"] as string, airflow],
  [(TABLES["other.csv"] as string).replaceAll(",", ";").replaceAll(".", ","), airflow],
  [(TABLES["meter.csv"] as string).replaceAll("\n", "\r\n").replaceAll(",", "\t"), airflow],
  [TABLES["element.csv"] as string, thermistor],
  [twoAxisText, twoAxes],
  [TABLES["pull.csv"] as string, anyColumns],
];

describe("tables with pieces replaced, swapped, doubled and torn out", () => {
  const watch = startWatch();
  afterAll(watch.end);

  it("the tables are valid before that", () => {
    for (const [text, read] of starts) read(text);
  });

  it("a table or faults", () => {
    const cases = fuzzCases("table");
    fc.assert(
      fc.property(fc.nat(starts.length - 1), mutations(3), fc.nat(9), (i, changes, bytes) => {
        const [start, read] = starts[i] as (typeof starts)[number];
        if (bytes > 0) {
          const text = mutateText(start, changes, /[,;\t]/u);
          watch.run(text, () => read(text));
          return;
        }
        const raw = mutateBytes(new TextEncoder().encode(start), changes);
        watch.run(Buffer.from(raw).toString("latin1"), () => read(decodeText(raw, "a.csv")));
      }),
      cases,
    );
    expect(watch.cases()).toBe(cases.numRuns);
    expect(watch.good()).toBeGreaterThan(cases.numRuns / 20);
    expect(watch.good()).toBeLessThan((cases.numRuns * 2) / 3);
  });
});
