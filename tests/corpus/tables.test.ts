import { readAirflowTable, readThermistorTable } from "bellmouth/document";
import { decodeTable, readTable } from "bellmouth/text";
import { expect, it } from "vitest";
import { faultsOf } from "../support/faults.js";
import { theReader } from "./adapter.js";
import { carFiles } from "./cars.js";
import { requestFor, scoreAnswered, scoreReading, totals } from "./score.js";

it("R19: of the tables, runs and pulls of twelve cars none is refused, read wrongly, guessed or dropped in silence", () => {
  const files = carFiles().filter(({ kind }) => kind !== "log");
  const scores = files.map((file) => scoreReading(file, theReader(requestFor(file, file.kind))));
  const first = totals(scores);
  expect(scores.flat().flatMap((s) => (s.outcome === "refused" ? [s.detail] : []))).toEqual([]);
  const none = {
    "wrong value": 0,
    guessed: 0,
    "silent drop": 0,
    refused: 0,
    crash: 0,
    "told but dropped": 0,
  };
  expect(first).toMatchObject(none);
  expect(files).toHaveLength(132);
  // What is left open is answered once, and then nothing is asked.
  const second = totals(
    files.map((file) => scoreAnswered(file, file.kind, theReader)).filter((s) => s.length > 0),
  );
  expect(second).toMatchObject({ ...none, "asked rightly": 0, "needless question": 0 });
});

it("R19: numbers that may be thousands or decimals are refused, not guessed", () => {
  const faults = faultsOf(() =>
    readAirflowTable("LMM Frequenz [Hz];Luftmasse [kg/h]\n2,000;10\n4,000;50\n8,000;200\n", "frequency"),
  );
  expect(faults[0]?.code).toBe("E_NUMBER");
  expect(faults[0]?.message).toContain("unclear");
});

it("R19: a unit that is not stated is asked for, with lines that answer", () => {
  const text = "Frequentie luchtmassameter [Hz];Luchtmassa\n2000,5;20,1\n4000,5;90,2\n8000,5;400,3\n";
  const [fault] = faultsOf(() => readAirflowTable(text, "frequency", { file: "air.csv" }));
  expect(fault?.code).toBe("E_COLUMN");
  expect(fault?.questions?.[0]?.choices.map(({ paste }) => paste)).toContain(
    "airflow: { column: Luchtmassa, unit: kg/h }",
  );
  const given = { columns: { airflow: { columns: ["Luchtmassa"], unit: "kg/h" } } };
  const { flow } = readAirflowTable(text, "frequency", { given });
  expect(flow[0]).toBeCloseTo(20.1 / 3600, 12);
});

it("R19: cells that are missing or words are refused in a table of any words", () => {
  const faults = faultsOf(() =>
    readThermistorTable("Temperatur [degC];Widerstand [kohm]\n-20,5;18,7\n0,5;\n20,5;x\n"),
  );
  expect(faults.map(({ code, at }) => `${code} ${at?.line}:${at?.column}`)).toEqual([
    "E_NUMBER 3:5",
    "E_NUMBER 4:6",
  ]);
});

it("R19: a misspelt column that need not be there is no unused one", () => {
  const specs = [
    { name: "signal", dimensions: ["frequency"], holds: "signal" },
    { name: "day", dimensions: ["ratio"], optional: true },
  ] as const;
  expect(faultsOf(() => readTable("signal [Hz],dayy\n1,1\n2,2\n", specs))[0]?.message).toContain(
    "did you mean 'day'",
  );
});

it("R7: airflow tables over a period, over counts and between blanks are read", () => {
  const period = readAirflowTable(
    "MAF Period [us],Airflow [g/s]\n500,10.5\n250,50.5\n125,200.5\n",
    "frequency",
  );
  expect(period.signal).toEqual([2000, 4000, 8000]);
  // From the top down: rows are turned, and places still are the file's.
  const falling = readAirflowTable(
    "MAF Period [us],Airflow [g/s]\n125,200.5\n250,50.5\n500,10.5\n",
    "frequency",
  );
  expect(falling.flow).toEqual(period.flow);
  expect(falling.lines[0]).toBe(4);
  const counts = readAirflowTable(
    "# 1023 counts = 5 V\nMAF Counts [counts]  Airflow [g/s]\n204.6  10.5\n409.2  50.5\n818.4  200.5\n",
    "voltage",
  );
  counts.signal.forEach((volts, i) => {
    expect(volts).toBeCloseTo([1, 2, 4][i] as number, 12);
  });
});

it("R7: a workbook is named as what it is", () => {
  const bytes = new Uint8Array([
    0x50,
    0x4b,
    3,
    4,
    ...new TextEncoder().encode("xl/workbook.xml [Content_Types].xml"),
  ]);
  expect(faultsOf(() => decodeTable(bytes, "air.xlsx"))[0]?.message).toContain("workbook");
});

it("R17: tables and run logs in windows-1252 and in UTF-16 without a mark are read", () => {
  const text = "Temp [°C],Resistance [ohm]\n0,5000\n20,2500\n40,1200\n";
  const cp1252 = Uint8Array.from(text, (c) => c.charCodeAt(0));
  const utf16 = new Uint8Array(Buffer.from(text, "utf16le"));
  for (const bytes of [cp1252, utf16])
    expect(readThermistorTable(decodeTable(bytes, "t.csv")).resistance).toEqual([5000, 2500, 1200]);
});
