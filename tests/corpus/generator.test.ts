import { describe, expect, it } from "vitest";
import { allReadings, statuses } from "./ambiguity.js";
import { carFiles, TABLE_KINDS } from "./cars.js";
import { makeCrossing } from "./crossing.js";
import { CLEAR } from "./dialects-clear.js";
import { OPEN } from "./dialects-open.js";
import { encode } from "./encode.js";
import { makeEntry } from "./entry.js";
import type { CorpusFile } from "./file.js";
import { namedFiles } from "./named.js";
import { NOT_LOGS } from "./not-logs.js";
import { layOut, printColumns, writeCells } from "./print.js";

/** The long run crosses 10,000. */
const CROSSINGS = Number(process.env["CORPUS_CROSSINGS"] ?? 300);
const files = namedFiles();
const readingsOf = new Map(files.map((f) => [f, allReadings(f)]));
const sameBytes = (a: Uint8Array, b: Uint8Array): boolean => Buffer.compare(a, b) === 0;
const unspoiled = (file: CorpusFile): boolean => file.dialect.impossible.length === 0 && !file.dialect.cut;

describe("dialects", () => {
  it("are at least 45 that say everything, 25 that leave something open and 10 files that are no logs", () => {
    expect(CLEAR.length).toBeGreaterThanOrEqual(45);
    expect(OPEN.length).toBeGreaterThanOrEqual(25);
    expect(NOT_LOGS.length).toBeGreaterThanOrEqual(10);
    const names = [...CLEAR, ...OPEN, ...NOT_LOGS].map((d) => d.name);
    expect(new Set(names).size).toBe(names.length);
    const bytes = files.map((f) => Buffer.from(f.bytes).toString("latin1"));
    expect(new Set(bytes).size).toBe(bytes.length);
  });

  it.each(files.filter(unspoiled).map((f) => [f.name, f] as const))(
    "print their own truth again: %s",
    (_, file) => {
      // Texts and clocks carry what the values do not (a date, a zone), so those columns keep their cells.
      const cells = file.dialect.columns.map((column, j) =>
        column.channel === "time" ? file.cells[j]! : writeCells(file.truth[j]!.values, column, file.dialect),
      );
      expect(sameBytes(encode(layOut(cells, file.dialect), file.dialect.encoding), file.bytes)).toBe(true);
    },
  );

  it("keep the truth close to the drive: what printing lost is the last digit", () => {
    const file = makeEntry(CLEAR[0]!, 0);
    const flow = file.truth.find((t) => t.channel === "airflow")!.values;
    expect(flow.every((v) => Math.abs(v * 1e5 - Math.round(v * 1e5)) < 1e-6)).toBe(true);
    expect(Math.max(flow.at(0)!, flow.at(170)!)).toBeGreaterThan(0.03);
  });
});

describe("ambiguity", () => {
  it("is computed: every other reading, printed as a whole file, gives the very same bytes", () => {
    let rivals = 0;
    for (const file of files.filter(unspoiled)) {
      const readings = readingsOf.get(file)!;
      file.dialect.columns.forEach((column, j) => {
        for (const rival of readings[j]!) {
          if (rival.column.channel === column.channel && rival.column.meaning === column.meaning) continue;
          const columns = file.dialect.columns.map((own, k) =>
            k === j
              ? rival
              : readings[k]!.find(
                  (r) => r.format === rival.format && (r.column.meaning === own.meaning || own.texts),
                ),
          );
          const parts = columns.map((r, k) => ({
            column: { ...(r?.column ?? file.dialect.columns[k]!), digits: file.dialect.columns[k]!.digits },
            values: r?.values ?? file.truth[k]!.values,
          }));
          const dialect = { ...file.dialect, format: rival.format, columns: parts.map((p) => p.column) };
          if (dialect.clock.form !== "number" && dialect.columns.some((c) => c.channel === "time")) continue;
          rivals++;
          const values = parts.map((p) => p.values);
          expect(sameBytes(printColumns(values, dialect), file.bytes), `${file.name}: ${column.name}`).toBe(
            true,
          );
        }
      });
    }
    expect(rivals).toBeGreaterThan(100);
  });

  it.each(files.map((f, i) => [f.name, f, i < CLEAR.length] as const))("%s", (_, file, clear) => {
    const readings = readingsOf.get(file)!;
    const found = statuses(file, readings);
    expect(found.includes("ambiguous")).toBe(!clear);
    // The dialect's own way to read a column is always among the ordinary ones.
    readings.forEach((list, j) => {
      const own = file.dialect.columns[j]!;
      const mine = list.some(
        (r) =>
          r.column.channel === own.channel &&
          r.column.meaning === own.meaning &&
          r.worlds.includes("ordinary"),
      );
      expect(mine || own.texts !== undefined, own.name).toBe(true);
    });
  });

  it("ends where the file says what was open", () => {
    for (const name of [
      "AFR without scale",
      "boost without barometer",
      "counts without scale",
      "two air meters, nothing told",
    ]) {
      const index = OPEN.findIndex((e) => e.name === name);
      const entry = OPEN[index]!;
      expect(statuses(makeEntry(entry, index))).toContain("ambiguous");
      const told = makeEntry({ ...entry, features: { ...entry.features, tells: true } }, index);
      expect(statuses(told), name).not.toContain("ambiguous");
    }
  });
});

describe("cars", () => {
  const cars = carFiles();
  it("are twelve, each with every kind of file, 168 files in all", () => {
    expect(new Set(cars.map((f) => f.name.split(",")[0])).size).toBe(12);
    expect(cars.length).toBe(168);
    for (const kind of Object.keys(TABLE_KINDS)) {
      expect(cars.filter((f) => f.kind === kind).length, kind).toBeGreaterThanOrEqual(12);
    }
  });
});

describe("crossings", () => {
  it("read back as what they print, in the ordinary world, and are the same every time", {
    timeout: 60_000 + 100 * CROSSINGS,
  }, () => {
    for (let i = 0; i < CROSSINGS; i++) {
      const file = makeCrossing(i);
      expect(sameBytes(makeCrossing(i).bytes, file.bytes)).toBe(true);
      allReadings(file).forEach((readings, j) => {
        const own = file.dialect.columns[j]!;
        const mine = readings.some(
          (r) =>
            r.column.channel === own.channel &&
            r.column.meaning === own.meaning &&
            r.worlds.includes("ordinary"),
        );
        expect(mine || own.texts !== undefined, `${file.name}: ${own.name}`).toBe(true);
      });
    }
  });
});
