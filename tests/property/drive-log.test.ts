import { forEachBlock, inferLogLayout, type LogLayout, readLog, readLogPieces } from "bellmouth/drive";
import fc from "fast-check";
import Papa from "papaparse";
import { describe, expect, it } from "vitest";
import { fieldValue } from "../../packages/bellmouth/src/columns/cell.js";

const layoutOf = (width: number, delimiter: LogLayout["delimiter"], decimal: "." | ","): LogLayout => ({
  encoding: "utf-8",
  delimiter,
  decimal,
  headerLine: null,
  unitLine: null,
  firstDataLine: 1,
  columns: Array.from({ length: width }, (_, i) => ({ name: `c${i}`, unit: null })),
});

/** The text cut into blocks at arbitrary bytes, all of them handed over in one buffer that is reused. */
function* cut(text: string, sizes: readonly number[]): Generator<Uint8Array> {
  const bytes = Buffer.from(text, "utf8");
  const shared = Buffer.alloc(Math.max(1, ...sizes));
  let at = 0;
  for (let i = 0; at < bytes.length; i++) {
    const size = sizes[i % sizes.length] as number;
    const part = bytes.subarray(at, at + size);
    part.copy(shared);
    yield shared.subarray(0, part.length);
    at += size;
  }
}

function numbersOf(text: string, layout: LogLayout, sizes: readonly number[]): number[][] {
  const rows: number[][] = [];
  forEachBlock(
    cut(text, sizes),
    layout,
    layout.columns.map((_, i) => i),
    (block) => {
      for (let i = 0; i < block.rows; i++) rows.push(block.values.map((column) => column[i] as number));
    },
  );
  return rows;
}

/** The same through the general reader and the definition of a cell's number. */
function reference(text: string, layout: LogLayout): number[][] {
  // A last row without a line end counts as one with it; the general reader treats blanks after its quotes otherwise.
  const ended = text.endsWith("\n") ? text : `${text}\n`;
  const { data } = Papa.parse<string[]>(ended, { delimiter: layout.delimiter, newline: "\n" });
  return data.map((row) =>
    layout.columns.map((_, i) =>
      row[i] === undefined ? Number.NaN : fieldValue(row[i], layout.decimal).value,
    ),
  );
}

/** Rows with a number in them: an empty line is no row to one reader and a row of nothing to the other. */
const filled = (rows: number[][]): number[][] =>
  rows.filter((row) => row.some((value) => !Number.isNaN(value)));

const same = (got: number[][], want: number[][]): void => {
  const a = filled(got);
  const b = filled(want);
  expect(a.length).toBe(b.length);
  // Object.is tells -0 from 0 and takes NaN for NaN.
  a.forEach((row, i) => {
    row.forEach((value, k) => {
      expect(Object.is(value, b[i]?.[k]), `row ${i} column ${k}: ${value} for ${b[i]?.[k]}`).toBe(true);
    });
  });
};

const digits = (max: number) => fc.stringMatching(new RegExp(`^[0-9]{1,${max}}$`));
const plainNumber = fc
  .tuple(
    fc.constantFrom("", "-", "+", " ", "  -"),
    digits(18),
    fc.option(digits(18)),
    fc.constantFrom("", " "),
  )
  .map(([sign, whole, part, tail]) => `${sign}${whole}${part === null ? "" : `.${part}`}${tail}`);
const withExponent = fc
  .tuple(plainNumber, fc.constantFrom("e", "E"), fc.integer({ min: -330, max: 330 }))
  .map(([number, e, exponent]) => `${number.trim()}${e}${exponent}`);
const odd = fc.constantFrom(
  "",
  " ",
  "-",
  ".",
  "NaN",
  "null",
  "1.2.3",
  "0x1F",
  "Infinity",
  "12abc",
  "5 5",
  "1e",
  "e5",
  "°C",
  "1e5 ",
  "\t7",
);
const quotedCell = fc
  .tuple(fc.constantFrom("1.5", "", "2", 'a""b', "x,y", "line\nend", "-3.25"), fc.constantFrom("", " "))
  .map(([inside, tail]) => `"${inside}"${tail}`);
const midQuote = fc.constantFrom('ab"c', '5"', '1"2');
const cell = fc.oneof(
  { weight: 8, arbitrary: plainNumber },
  { weight: 2, arbitrary: withExponent },
  { weight: 2, arbitrary: odd },
  { weight: 1, arbitrary: quotedCell },
  { weight: 1, arbitrary: midQuote },
);
const sizes = fc.array(fc.integer({ min: 1, max: 40 }), { minLength: 1, maxLength: 5 });

describe("reading numbers", () => {
  it("gives the general reader's values bit for bit, at any block size", () => {
    fc.assert(
      fc.property(
        fc.array(fc.array(cell, { minLength: 1, maxLength: 5 }), { minLength: 1, maxLength: 12 }),
        fc.constantFrom("\n", "\r\n"),
        fc.boolean(),
        sizes,
        (rows, end, last, blocks) => {
          const text = rows.map((row) => row.join(",")).join(end) + (last ? end : "");
          const layout = layoutOf(4, ",", ".");
          same(numbersOf(text, layout, blocks), reference(text, layout));
        },
      ),
      { seed: 4711, numRuns: 3000 },
    );
  });

  it("does so with decimal commas between semicolons", () => {
    fc.assert(
      fc.property(
        fc.array(fc.array(fc.oneof(plainNumber, odd), { minLength: 3, maxLength: 3 }), {
          minLength: 1,
          maxLength: 8,
        }),
        sizes,
        (rows, blocks) => {
          const text = `${rows.map((row) => row.map((one) => one.replace(".", ",")).join(";")).join("\n")}\n`;
          const layout = layoutOf(3, ";", ",");
          same(numbersOf(text, layout, blocks), reference(text, layout));
        },
      ),
      { seed: 4712, numRuns: 1500 },
    );
  });

  it("equals Number() for any double as printed", () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ noNaN: true, noDefaultInfinity: true }), { minLength: 1, maxLength: 30 }),
        (values) => {
          const text = `${values.join("\n")}\n`;
          const got = numbersOf(text, layoutOf(1, ",", "."), [17]).map(([value]) => value);
          // A printed -0 is "0".
          expect(got).toEqual(values.map((value) => Number(String(value))));
        },
      ),
      { seed: 4713, numRuns: 1000 },
    );
  });

  it("survives any bytes", () => {
    fc.assert(
      fc.property(fc.uint8Array({ minLength: 0, maxLength: 300 }), sizes, (bytes, blocks) => {
        const clean = bytes.map((byte) => (byte === 0 ? 1 : byte));
        const text = Buffer.from(clean).toString("latin1");
        const rows = numbersOf(text, layoutOf(3, ",", "."), blocks);
        for (const row of rows) expect(row.length).toBe(3);
      }),
      { seed: 4714, numRuns: 2000 },
    );
  });
});

describe("a log read in pieces", () => {
  it("holds the samples of the log read whole", () => {
    const lines = ["time [s],MAF [g/s],RPM [rpm],IAT [degC]"];
    // Invented: every row new, new every fifth row, hardly ever new.
    for (let i = 0; i < 40_000; i++) {
      lines.push(
        `${(i / 20).toFixed(2)},${(20 + 10 * Math.sin(i / 7)).toFixed(3)},${2000 + 37 * (Math.floor(i / 5) % 41)},${20 + Math.floor(i / 3000)}`,
      );
    }
    const text = `${lines.join("\n")}\n`;
    const { layout, mapping } = inferLogLayout(text.slice(0, 20_000));
    if (mapping === null) throw new Error("no mapping");
    const whole = readLog(text, layout, mapping);
    const pieces = [...readLogPieces(text, layout, mapping, 7000)];
    expect(pieces.length).toBeGreaterThan(2);
    expect(pieces.reduce((n, piece) => n + piece.rows, 0)).toBe(whole.rows);
    for (const name of ["airflow", "engineSpeed", "intakeAir"] as const) {
      const joined = (member: "time" | "value"): number[] =>
        pieces.flatMap((piece) => Array.from(piece.channels[name]?.[member] ?? []));
      expect(joined("time")).toEqual(Array.from(whole.channels[name]?.time ?? []));
      expect(joined("value")).toEqual(Array.from(whole.channels[name]?.value ?? []));
    }
    expect(whole.channels.airflow?.time.length).toBe(40_000);
    expect(whole.channels.engineSpeed?.time.length).toBe(8_000);
    expect(whole.channels.engineSpeed?.refresh).toBeCloseTo(0.25, 9);
  });
});
