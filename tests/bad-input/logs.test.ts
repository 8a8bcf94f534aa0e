import { isFault } from "bellmouth";
import {
  forEachBlock,
  inferLogLayout,
  type LogFinding,
  type LogLayout,
  type LogMapping,
  readLog,
  readLogPieces,
  readLogStream,
} from "bellmouth/drive";
import { describe, expect, it } from "vitest";

const HEADER = "time [s],MAF [g/s],RPM [rpm]";
const ROWS = ["0.0,4.1,800", "0.1,4.3,810", "0.2,4.2,805", "0.3,4.4,812"];
const LOG = `${[HEADER, ...ROWS].join("\n")}\n`;
const LAYOUT: LogLayout = {
  encoding: "utf-8",
  delimiter: ",",
  decimal: ".",
  headerLine: 1,
  unitLine: null,
  firstDataLine: 2,
  columns: [
    { name: "time", unit: "s" },
    { name: "MAF", unit: "g/s" },
    { name: "RPM", unit: "rpm" },
  ],
};
const MAPPING: LogMapping = {
  time: { column: "time", unit: "s" },
  channels: [
    { channel: "airflow", column: "MAF", unit: "g/s" },
    { channel: "engineSpeed", column: "RPM", unit: "rpm" },
  ],
};

/** The same as it is found in the header. */
const FOUND: LogMapping = {
  time: { column: 0, unit: "s" },
  channels: [
    { channel: "airflow", column: 1, scale: { factor: 1e-3, offset: 0 } },
    { channel: "engineSpeed", column: 2, scale: { factor: 1 / 60, offset: 0 } },
  ],
};

const kinds = (findings: readonly LogFinding[]): string[] => findings.map(({ kind }) => kind);
/** Sparse and constant channels of four rows say nothing here. */
const airflow = (text: string | Uint8Array, layout = LAYOUT, mapping = MAPPING): number[] =>
  Array.from(readLog(text, layout, mapping).channels.airflow?.value ?? [], (x) => Math.round(x * 1e7) / 1e4);
const fault = (call: () => unknown): { code: string; text: string } => {
  try {
    call();
  } catch (error) {
    if (isFault(error)) return { code: error.code, text: error.message };
    throw error;
  }
  throw new Error("nothing was thrown");
};
const utf16 = (text: string, big: boolean): Uint8Array => {
  const bytes = Buffer.from(`\uFEFF${text}`, "utf16le");
  return big ? bytes.swap16() : bytes;
};

describe("what loggers do to text", () => {
  it("a byte-order mark, CR LF, no last line end", () => {
    for (const text of [`\uFEFF${LOG}`, LOG.replaceAll("\n", "\r\n"), LOG.trimEnd(), `${LOG}\n\n`]) {
      const { layout, mapping } = inferLogLayout(Buffer.from(text));
      expect(layout).toMatchObject(LAYOUT);
      expect(mapping).toEqual(FOUND);
      expect(airflow(text)).toEqual([4.1, 4.3, 4.2, 4.4]);
    }
  });
  it.each([false, true])("UTF-16, big end first: %s, in blocks that split characters", async (big) => {
    const bytes = utf16(LOG, big);
    const { layout, mapping } = inferLogLayout(bytes);
    expect(layout.encoding).toBe(big ? "utf-16be" : "utf-16le");
    expect(airflow(bytes, layout, mapping ?? MAPPING)).toEqual([4.1, 4.3, 4.2, 4.4]);
    const stream = (async function* () {
      for (let at = 0; at < bytes.length; at += 7) yield bytes.subarray(at, at + 7);
    })();
    expect((await readLogStream(stream, layout, MAPPING)).rows).toBe(4);
  });
  it("UTF-16 without its mark is recognised, and refused where the layout says UTF-8", () => {
    const bytes = utf16(LOG, false).subarray(2);
    expect(inferLogLayout(bytes).layout.encoding).toBe("utf-16le");
    expect(fault(() => readLog(bytes, LAYOUT, MAPPING)).code).toBe("E_ENCODING");
  });
  it("bytes that are no text", () => {
    const bytes = Uint8Array.from({ length: 1000 }, (_, i) => (i * i) % 7);
    expect(fault(() => inferLogLayout(bytes)).code).toBe("E_ENCODING");
  });
  it("decimal commas between semicolons and tabs", () => {
    for (const delimiter of [";", "\t"]) {
      const text = LOG.replaceAll(",", delimiter).replace(/(\d)\.(\d)/g, "$1,$2");
      const { layout, mapping } = inferLogLayout(text);
      expect(layout).toMatchObject({ delimiter, decimal: "," });
      expect(airflow(text, layout, mapping ?? MAPPING)).toEqual([4.1, 4.3, 4.2, 4.4]);
    }
  });
  it.each([
    [
      "windows-1252",
      Buffer.from("Time [s],IAT [\u00b0C],MAF [g/s]\n0,20,4.1\n1,21,4.2\n2,22,4.3\n", "latin1"),
      "windows-1252",
    ],
    ["doubly encoded", Buffer.from("Time [s],IAT [Â°C],MAF [g/s]\n0,20,4.1\n1,21,4.2\n2,22,4.3\n"), "utf-8"],
    ["ordinal mark", Buffer.from("Time [s],IAT [ºC],MAF [g/s]\n0,20,4.1\n1,21,4.2\n2,22,4.3\n"), "utf-8"],
  ])("a degree sign: %s", (_, bytes, encoding) => {
    const { layout, mapping } = inferLogLayout(bytes);
    expect(layout.encoding).toBe(encoding);
    expect(layout.columns[1]).toEqual({ name: "IAT", unit: "°C" });
    if (mapping === null) throw new Error("no mapping");
    const drive = readLog(bytes, layout, mapping);
    expect(drive.channels.intakeAir?.value[0]).toBeCloseTo(293.15, 9);
  });
  it("units in a row of their own, lines of prose before the header, names with spaces around them", () => {
    const text =
      "Recorder 4\nstarted at noon\n time , MAF ,RPM\n[s],[g/s],[rpm]\n0,4.1,800\n1,4.3,810\n2,4.2,805\n";
    const { layout, mapping } = inferLogLayout(text);
    expect(layout).toMatchObject({ headerLine: 3, unitLine: 4, firstDataLine: 5, columns: LAYOUT.columns });
    expect(mapping).toEqual(FOUND);
    expect(airflow(text, layout)).toEqual([4.1, 4.3, 4.2]);
  });
  it("trailing delimiters, spaces before values, empty brackets", () => {
    const text = "time (s),MAF (g/s),RPM ()\n0, 4.1, 800,\n1, 4.3, 810,\n2, 4.2, 805,\n";
    const { layout, channels, questions } = inferLogLayout(text);
    expect(layout.columns).toEqual([LAYOUT.columns[0], LAYOUT.columns[1], { name: "RPM", unit: null }]);
    expect(channels.map(({ channel, unit }) => [channel, unit])).toEqual([
      ["airflow", "g/s"],
      ["engineSpeed", "rpm"],
    ]);
    expect(questions).toEqual([]);
    const drive = readLog(text, layout, MAPPING);
    expect(kinds(drive.findings)).not.toContain("longRows");
    expect(drive.rows).toBe(3);
  });
  it("brackets that hold no unit stay in the name", () => {
    const { layout } = inferLogLayout("time [s],O2 (bank 1),x\n0,1,2\n1,1,2\n2,1,2\n");
    expect(layout.columns.map(({ name }) => name)).toEqual(["time", "O2 (bank 1)", "x"]);
  });
  it("no header at all", () => {
    const { layout, questions } = inferLogLayout("0,4.1\n1,4.2\n2,4.3\n");
    expect(layout).toMatchObject({ headerLine: null, firstDataLine: 1 });
    expect(layout.columns.map(({ name }) => name)).toEqual(["column 1", "column 2"]);
    expect(questions[0]?.about).toBe("time");
  });
});

describe("what is missing", () => {
  it("an empty sample", () => {
    for (const text of ["", "\n\n", "  \r\n"]) {
      expect(fault(() => inferLogLayout(text)).code).toBe("E_TOO_LITTLE_DATA");
    }
    expect(fault(() => inferLogLayout(new Uint8Array(0))).code).toBe("E_TOO_LITTLE_DATA");
  });
  it("a log that ends before its header", () => {
    expect(fault(() => readLog("", LAYOUT, MAPPING)).code).toBe("E_SYNTAX");
  });
  it("a header and no rows", () => {
    for (const text of [HEADER, `${HEADER}\n`, `${HEADER}\r\n\r\n`]) {
      expect(inferLogLayout(text).layout.columns).toEqual(LAYOUT.columns);
      const drive = readLog(text, LAYOUT, MAPPING);
      expect(drive).toMatchObject({ rows: 0, startStamp: null });
      expect(kinds(drive.findings)).toEqual(["noRows"]);
      expect(drive.channels.airflow?.value.length).toBe(0);
    }
  });
  it("one row", () => {
    const drive = readLog(`${HEADER}\n5,4.1,800`, LAYOUT, MAPPING);
    expect(drive).toMatchObject({ rows: 1, startStamp: 5 });
    expect(drive.channels.airflow).toMatchObject({ time: Float64Array.of(0) });
    expect([...readLogPieces(`${HEADER}\n5,4.1,800`, LAYOUT, MAPPING, 1)].length).toBe(1);
  });
  it("cells without numbers are missing samples, counted by kind", () => {
    const drive = readLog(`${HEADER}\n0,NaN,800\n1,,801\n2,off,802\n3,4.4,803\n4\n`, LAYOUT, MAPPING);
    expect(drive.rows).toBe(5);
    const about = (kind: string) => drive.findings.filter((finding) => finding.kind === kind);
    expect(about("missing")).toMatchObject([
      { column: "MAF", count: 3 },
      { column: "RPM", count: 1 },
    ]);
    expect(about("unreadable")).toMatchObject([{ column: "MAF", count: 1, line: 4 }]);
    expect(about("unreadable")[0]?.message).toContain('"off"');
    expect(about("shortRows")).toMatchObject([{ count: 1, line: 6 }]);
    const value = Array.from(drive.channels.airflow?.value ?? []);
    expect(value.map(Number.isNaN)).toEqual([true, true, true, false, true]);
    expect(value[3]).toBeCloseTo(0.0044, 12);
  });
  it("rows without a time", () => {
    const drive = readLog(`${HEADER}\n0,4.1,800\n1,4.2,801\n,4.3,802\n3,4.4,803\n`, LAYOUT, MAPPING);
    expect(drive.findings.find(({ kind }) => kind === "missingTime")).toMatchObject({ count: 1 });
    expect(Array.from(drive.channels.airflow?.time ?? [])).toEqual([0, 1, 2, 3]);
  });
});

describe("what is ambiguous or wrong is refused, with what would be accepted", () => {
  it("a column that is not there, or there twice", () => {
    const other = { ...MAPPING, channels: [{ channel: "airflow", column: "maf", unit: "g/s" }] } as const;
    const missing = fault(() => readLog(LOG, LAYOUT, other));
    expect(missing.code).toBe("E_COLUMN");
    expect(missing.text).toContain('"MAF"');
    const twice = {
      ...LAYOUT,
      columns: [LAYOUT.columns[0], LAYOUT.columns[1], { name: "MAF", unit: null }],
    } as LogLayout;
    const repeated = fault(() => readLog(LOG, twice, MAPPING));
    expect(repeated.code).toBe("E_COLUMN");
    expect(repeated.text).toContain("columns 1, 2");
  });
  it("a unit that is missing, unknown or of another dimension", () => {
    const withUnit = (unit?: string): LogMapping => ({
      ...MAPPING,
      channels: [{ channel: "airflow", column: "MAF", ...(unit === undefined ? {} : { unit }) }],
    });
    for (const unit of [undefined, "", "V", "furlongs"]) {
      const { code, text } = fault(() => readLog(LOG, LAYOUT, withUnit(unit)));
      expect(code).toBe("E_UNIT");
      expect(text).toContain("g/s");
    }
    const afr: LogMapping = { ...MAPPING, channels: [{ channel: "lambda", column: "MAF", unit: "AFR" }] };
    expect(fault(() => readLog(LOG, LAYOUT, afr)).text).toContain("stoichiometric");
    const time: LogMapping = { ...MAPPING, time: { column: "time", unit: "" } };
    expect(fault(() => readLog(LOG, LAYOUT, time)).code).toBe("E_UNIT");
  });
  it("a channel mapped twice, an unknown channel, one column read in two ways", () => {
    const [first] = MAPPING.channels;
    if (first === undefined) throw new Error("no channel");
    expect(fault(() => readLog(LOG, LAYOUT, { ...MAPPING, channels: [first, first] })).code).toBe("E_COLUMN");
    const odd = { ...MAPPING, channels: [{ channel: "__proto__", column: "MAF", unit: "g/s" }] };
    expect(fault(() => readLog(LOG, LAYOUT, odd as unknown as LogMapping)).code).toBe("E_COLUMN");
    const both: LogMapping = {
      time: { column: "time", format: "clock" },
      channels: [{ channel: "battery", column: "time", unit: "V" }],
    };
    expect(fault(() => readLog(LOG, LAYOUT, both)).code).toBe("E_COLUMN");
  });
  it("a file whose header is not the layout's", () => {
    const swapped = LOG.replace(HEADER, "time [s],RPM [rpm],MAF [g/s]");
    expect(fault(() => readLog(swapped, LAYOUT, MAPPING)).code).toBe("E_COLUMN");
    const other = LOG.replace("MAF [g/s]", "MAF [kg/h]");
    expect(fault(() => readLog(other, LAYOUT, MAPPING)).code).toBe("E_COLUMN");
    const wider = LOG.replace(HEADER, `${HEADER},x`);
    expect(fault(() => readLog(wider, LAYOUT, MAPPING)).text).toContain("4 columns");
  });
  it("a sample that splits in two ways", () => {
    const { code, text } = fault(() => inferLogLayout("1;2\n3,4\n5;6\n7,8\n9;10\n11,12\n\n"));
    expect(code).toBe("E_SYNTAX");
    expect(text).toMatch(/commas.*semicolons/);
  });
  it("a layout that contradicts itself", () => {
    for (const change of [
      { decimal: "x" },
      { delimiter: "x" },
      { firstDataLine: 0 },
      { firstDataLine: Number.NaN },
      { headerLine: 2 },
      { columns: [] },
    ]) {
      const layout = { ...LAYOUT, ...change } as LogLayout;
      expect(fault(() => readLog(LOG, layout, MAPPING)).code).toBe("E_SYNTAX");
    }
  });
  it("a row period or a size of pieces that is none", () => {
    for (const rowPeriod of [0, -1, Number.NaN, Number.POSITIVE_INFINITY]) {
      expect(fault(() => readLog(LOG, LAYOUT, { ...MAPPING, time: { rowPeriod } })).code).toBe("E_DOMAIN");
    }
    expect(fault(() => [...readLogPieces(LOG, LAYOUT, MAPPING, 0)]).code).toBe("E_DOMAIN");
  });
  it("lines that end in CR alone are read, lines without end are not", () => {
    const old = LOG.replaceAll("\n", "\r");
    const { layout, mapping } = inferLogLayout(old);
    expect(airflow(old, layout, mapping ?? MAPPING)).toEqual([4.1, 4.3, 4.2, 4.4]);
    const endless = (function* () {
      yield Buffer.from(`${HEADER}\n`);
      for (let i = 0; i < 40; i++) yield Buffer.alloc(1 << 19, 0x31);
    })();
    expect(fault(() => readLog(endless, LAYOUT, MAPPING)).code).toBe("E_TOO_LARGE");
  });
});

describe("hostile content", () => {
  it("column names that are members of every object", () => {
    const names = ["__proto__", "constructor", "toString", "hasOwnProperty"];
    const text = `time [s],${names.map((name) => `${name} [g/s]`).join(",")}\n0,1,2,3,4\n1,1,2,3,5\n2,1,2,3,6\n`;
    const { layout } = inferLogLayout(text);
    expect(layout.columns.map(({ name }) => name)).toEqual(["time", ...names]);
    const mapping: LogMapping = {
      time: { column: "time", unit: "s" },
      channels: [{ channel: "airflow", column: "__proto__", unit: "g/s" }],
    };
    const drive = readLog(text, layout, mapping);
    expect(drive.channels.airflow?.value[0]).toBeCloseTo(0.001, 12);
    expect(Object.keys(drive.channels)).toEqual(["airflow"]);
    expect(({} as Record<string, unknown>)["airflow"]).toBeUndefined();
  });
  it("a line of 100,000 characters, in a cell that is read and in one that is not", () => {
    const long = "9".repeat(100_000);
    const text = `${HEADER},x\n0,4.1,800,${long}\n1,${long},810,1\n2,4.2,805,1\n3,4.4,806,"${long}"\n`;
    const layout = { ...LAYOUT, columns: [...LAYOUT.columns, { name: "x", unit: null }] };
    const drive = readLog(text, layout, MAPPING);
    expect(drive.rows).toBe(4);
    // 100,000 nines are more than a double holds.
    expect(drive.findings.find(({ kind }) => kind === "unreadable")).toMatchObject({
      column: "MAF",
      count: 1,
    });
    expect(drive.channels.airflow?.value.at(-1)).toBeCloseTo(0.0044, 12);
    expect(inferLogLayout(text).layout.columns.length).toBe(4);
  });
  it("quotes, closed and not", () => {
    const start = `${HEADER}\n0,"4.1",800\n1,"4.2\n",801\n`;
    const open = readLog(`${start}2,"4.3,802\n3,4.4,803\n4,4.5,804\n`, LAYOUT, MAPPING);
    // The open quote costs its own line, not the rest of the log.
    expect(open.rows).toBe(5);
    expect(Array.from(open.channels.engineSpeed?.value ?? [], (v) => Math.round(v * 60)).at(-1)).toBe(804);
    expect(open.findings.find(({ kind }) => kind === "quotedRows")).toMatchObject({ count: 3, line: 2 });
    expect(open.findings.find(({ kind }) => kind === "brokenQuotes")).toMatchObject({ count: 1, line: 5 });
    // A later quote closes it: everything between is one cell, and that is said.
    const closed = readLog(`${start}2,"4.3,802\n3,4.4,803\n4,"4.5",804\n`, LAYOUT, MAPPING);
    expect(closed.rows).toBe(3);
    expect(kinds(closed.findings)).toContain("brokenQuotes");
  });
  it("megabytes of open quotes do not take long", () => {
    const text = `${HEADER}\n${'0,"4.1,800\n'.repeat(100_000)}`;
    const started = performance.now();
    const drive = readLog(text, LAYOUT, MAPPING);
    expect(drive.rows).toBeGreaterThan(0);
    // Linear work takes tens of milliseconds, quadratic work hours.
    expect(performance.now() - started).toBeLessThan(20_000);
  });
  it("formulas and words", () => {
    const text = "time [s],afr,loop,n\n0,14.7,CL,1\n1,13.2,OL,0\n2,0,open,2\n3,14.7,CL,4\n";
    const { layout } = inferLogLayout(text);
    const drive = readLog(text, layout, {
      time: { column: "time", unit: "s" },
      channels: [
        { channel: "lambda", from: ["afr"], evaluate: ([afr = Number.NaN]) => afr / 14.7 },
        { channel: "lambdaTarget", from: ["afr", "n"], evaluate: ([afr = 0, n = 0]) => afr / n },
        { channel: "closedLoop", column: "loop", words: { CL: 1, OL: 0 } },
      ],
    });
    expect(drive.channels.lambda?.value[0]).toBe(1);
    // 13.2 / 0 is no sample.
    expect(Array.from(drive.channels.lambdaTarget?.value ?? [])).not.toContain(Number.POSITIVE_INFINITY);
    expect(Array.from(drive.channels.closedLoop?.value ?? [])).toEqual([1, 0, Number.NaN, 1]);
    expect(drive.findings.find(({ kind }) => kind === "unreadable")).toMatchObject({
      column: "loop",
      line: 4,
    });
  });
  it("a visitor sees numbers as written, and asks for each column once", () => {
    const seen: number[] = [];
    const tally = forEachBlock(LOG, LAYOUT, ["RPM", 1], ({ rows, values }) => {
      for (let i = 0; i < rows; i++) seen.push(values[0]?.[i] ?? Number.NaN, values[1]?.[i] ?? Number.NaN);
    });
    expect(tally.rows).toBe(4);
    expect(seen).toEqual([800, 4.1, 810, 4.3, 805, 4.2, 812, 4.4]);
    expect(fault(() => forEachBlock(LOG, LAYOUT, ["RPM", 2], () => {})).code).toBe("E_COLUMN");
    expect(fault(() => forEachBlock(LOG, LAYOUT, [7], () => {})).code).toBe("E_COLUMN");
  });
});
