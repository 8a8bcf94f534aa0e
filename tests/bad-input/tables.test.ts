import { readAirflowTable, readThermistorTable } from "bellmouth/document";
import {
  columnOf,
  decodeText,
  readTable,
  readTwoAxisTable,
  textCell,
  writeTable,
  writeTwoAxisTable,
} from "bellmouth/text";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { expectFault, faultsOf } from "../support/faults.js";
import { fuzzRuns } from "../support/fuzz-runs.js";

const file = "air.csv";
const frequency = (text: string): unknown => readAirflowTable(text, "frequency", { file });
const good = "signal [Hz],airflow [g/s]\n2000,10\n4000,50\n8000,200\n";

describe("an air meter's table", () => {
  it.each([
    ["commas", good],
    ["CRLF", good.replaceAll("\n", "\r\n")],
    ["semicolons", good.replaceAll(",", ";")],
    ["tabs", good.replaceAll(",", "\t")],
    ["old line ends", good.replaceAll("\n", "\r")],
    ["blank lines and no last line end", good.replace("\n4000", "\n\n4000").trimEnd()],
    ["quotes", 'signal [Hz],"airflow [g/s]"\n"2000",10\n4000,"50"\n8000,200\n'],
    ["spaces", "signal [Hz] , airflow [g/s]\n 2000 , 10\n4000, 50 \n8000,200\n"],
    ["columns the other way round", "airflow [g/s],signal [Hz]\n10,2000\n50,4000\n200,8000\n"],
    ["other units", "signal [kHz],airflow [kg/h]\n2,36\n4,180\n8,720\n"],
    ["decimal commas that show themselves", "signal [kHz];airflow [g/s]\n2,0;10,0\n4,0;50,0\n8,0;200,0\n"],
    ["a unit in capitals", good.replace("g/s", "G/S")],
    ["a byte order mark", decodeText(new TextEncoder().encode(`\ufeff${good}`))],
    ["UTF-16", decodeText(new Uint8Array(Buffer.from(`\ufeff${good}`, "utf16le")))],
    ["UTF-16, the other way", decodeText(new Uint8Array(Buffer.from(`\ufeff${good}`, "utf16le").swap16()))],
  ])("reads %s", (_, text) => {
    const table = readAirflowTable(text, "frequency", { file });
    expect(table.signal).toEqual([2000, 4000, 8000]);
    table.flow.forEach((flow, i) => {
      expect(flow).toBeCloseTo([0.01, 0.05, 0.2][i] as number, 15);
    });
  });

  it.each([
    ["nothing", "", "E_SHAPE", "1:1", "the table is empty"],
    ["blank text", " \n \n", "E_SHAPE", "1:1", "the table is empty"],
    ["no rows", "signal [Hz],airflow [g/s]\n", "E_SHAPE", "1:1", "a header and no rows"],
    ["one row", "signal [Hz],airflow [g/s]\n2000,10\n", "E_SHAPE", "2:1", "at least 2 rows"],
    ["an unsorted breakpoint", good.replace("8000", "3000"), "E_ORDER", "4:1", "found 3000 Hz after 4000 Hz"],
    [
      "a repeated breakpoint",
      good.replace("8000", "4000"),
      "E_ORDER",
      "4:1",
      "the same as in the row before",
    ],
    ["a falling flow", good.replace(",200", ",20"), "E_ORDER", "4:6", "found 20 g/s after 50 g/s"],
    ["a NaN breakpoint", good.replace("4000", "NaN"), "E_NUMBER", "3:1", "not a finite number"],
    ["an empty cell", good.replace("50", ""), "E_NUMBER", "3:6", "found an empty cell"],
    ["an infinite flow", good.replace(",200", ",inf"), "E_NUMBER", "4:6", "not a finite number"],
    ["an overflowing flow", good.replace(",200", ",1e999"), "E_NUMBER", "4:6", "too large"],
    [
      "a negative flow",
      good.replace("10\n", "-10\n"),
      "E_DOMAIN",
      "2:6",
      "found -10 g/s; accepted: >= 0 g/s",
    ],
    ["a negative signal", good.replace("2000", "-2000"), "E_DOMAIN", "2:1", "found -2000 Hz"],
    ["a unit in a cell", good.replace("50", "50 g/s"), "E_NUMBER", "3:6", "the unit belongs in the header"],
    ["words in a cell", good.replace("50", "fifty"), "E_NUMBER", "3:6", "found 'fifty'"],
    ["a formula in a cell", good.replace("50", "=1+1"), "E_NUMBER", "3:6", "found '=1\\+1'"],
    ["no unit", good.replace(" [g/s]", ""), "E_COLUMN", "1:1", 'In which unit is "airflow"'],
    ["a wrong unit", good.replace("g/s", "kPa"), "E_UNIT", "1:13", "the unit of a pressure"],
    ["a volume flow", good.replace("g/s", "cfm"), "E_UNIT", "1:13", "a volume is no mass"],
    ["voltages for a frequency sensor", good.replace("Hz", "V"), "E_SIGNAL_KIND", "1:1", "a voltage table"],
    ["a misspelt column", good.replace("airflow", "airflo"), "E_COLUMN", "1:13", "did you mean 'airflow'"],
    ["a missing column", "signal [Hz]\n1\n2\n", "E_COLUMN", "1:1", "the column 'airflow' is missing"],
    ["a column twice", good.replace("airflow [g/s]", "signal [Hz]"), "E_COLUMN", "1:13", "stands twice"],
    ["several delimiters", good.replace("[Hz],", "[Hz];,"), "E_SYNTAX", "1:1", "several kinds of delimiter"],
    ["a row too long", good.replace("4000,50", "4000,50,1"), "E_SYNTAX", "3:1", "a row of 3 cells"],
    ["decimal commas between commas", good.replace("4000,50", "4000,50,5"), "E_SYNTAX", "3:1", "semicolons"],
    [
      "an unclosed quote",
      good.replace("4000", '"4000'),
      "E_SYNTAX",
      "3:1",
      "a quoted cell that does not end",
    ],
    [
      "thousands or decimals",
      "signal [Hz];airflow [g/s]\n2,000;10\n4,000;50\n",
      "E_NUMBER",
      "2:1",
      "unclear whether",
    ],
    ["both marks", "signal [Hz];airflow [g/s]\n2,5;10.5\n4,5;50\n", "E_NUMBER", "2:1", "commas and points"],
    [
      "grouped digits",
      "signal [Hz];airflow [g/s]\n2 000;10\n4 000;50\n",
      "E_NUMBER",
      "2:1",
      "digits are not grouped",
    ],
  ])("refuses %s", (name, text, code, place, words) => {
    const faults = faultsOf(() => frequency(text));
    expect(faults[0]?.at?.file).toBe("air.csv");
    const several = ["a column twice", "grouped digits"].includes(name);
    if (several) {
      expect(faults[0]?.code).toBe(code);
      expect(`${faults[0]?.at?.line}:${faults[0]?.at?.column}`).toBe(place);
      expect(faults[0]?.message).toMatch(new RegExp(words));
    } else expectFault(() => frequency(text), code, place, new RegExp(words));
  });

  it("reports every bad cell at once, with its place", () => {
    const faults = faultsOf(() => frequency("signal [Hz],airflow [g/s]\nx,1\n2,y\n3,\n"));
    expect(faults.map((fault) => `${fault.at?.line}:${fault.at?.column}`)).toEqual(["2:1", "3:3", "4:3"]);
  });

  it("counts lines through quoted line ends", () => {
    const text = 'signal [Hz],airflow [g/s],note\n1,1,"two\nlines"\n2,x,\n';
    const read = (): unknown =>
      readTable(
        text,
        [
          { name: "signal", dimensions: ["frequency"] },
          { name: "airflow", dimensions: ["mass flow"] },
        ],
        { others: "ignore" },
      );
    expectFault(read, "E_NUMBER", "4:3", "found 'x'");
  });

  it("takes decimal commas on request where they cannot show themselves", () => {
    const text = "signal [kHz];airflow [g/s]\n2,125;10\n4,250;50\n";
    expect(readAirflowTable(text, "frequency", { decimal: "comma" }).signal).toEqual([2125, 4250]);
  });

  it("reads 100,000 rows", () => {
    let text = "signal [Hz],airflow [g/s]\n";
    for (let i = 0; i < 100_000; i++) text += `${1000 + i / 10},${(0.5 + i / 1000).toFixed(4)}\n`;
    const table = readAirflowTable(text, "frequency");
    expect(table.flow.length).toBe(100_000);
    expect(table.flow.at(-1)).toBeCloseTo(0.100499, 9);
  });

  it("reports the first of 100,000 unsorted rows at once", () => {
    const text = `signal [Hz],airflow [g/s]\n${"2,1\n1,2\n".repeat(50_000)}`;
    const start = performance.now();
    expect(faultsOf(() => frequency(text)).length).toBe(5);
    expect(performance.now() - start).toBeLessThan(2000);
  });

  it("stops at a stated number of rows", () => {
    const text = `signal [Hz],airflow [g/s]\n${"1,1\n".repeat(1_000_001)}`;
    expectFault(() => frequency(text), "E_TOO_LARGE", "1:1", "1000001 rows");
  });
});

describe("text encodings", () => {
  it("refuses UTF-16 without a mark, and Latin-1, naming the place", () => {
    const bare = new Uint8Array(Buffer.from(good, "utf16le"));
    expectFault(() => decodeText(bare, file), "E_ENCODING", "1:2", "UTF-16 without a byte order mark");
    const latin = new Uint8Array(Buffer.from("temperature [°C],resistance [ohm]\n20,2500\n", "latin1"));
    expectFault(() => decodeText(latin, file), "E_ENCODING", "1:14", "not UTF-8");
    const late = new Uint8Array(Buffer.from("a\nbc\nd\xb0\n", "latin1"));
    expectFault(() => decodeText(late, file), "E_ENCODING", "3:2", "not UTF-8");
  });
});

describe("a temperature element's table", () => {
  it("reads rising or falling points, and no others", () => {
    const points = "temperature [degF],resistance [kohm]\n32,5.6\n68,2.5\n212,0.19\n";
    const table = readThermistorTable(points);
    expect(table.temperature[1]).toBeCloseTo(293.15, 9);
    expect(table.resistance[1]).toBe(2500);
    expectFault(() => readThermistorTable(points.replace("212", "50")), "E_ORDER", "4:1", "one way");
    expectFault(() => readThermistorTable(points.replace("2.5", "0")), "E_DOMAIN", "3:4", "> 0 kohm");
    expectFault(
      () => readThermistorTable(points.replace("32,", "-500,")),
      "E_DOMAIN",
      "2:1",
      "> -459.67 degF",
    );
  });
});

describe("a table over two axes", () => {
  const text =
    "correction [%] by temperature [degC] and airflow [g/s],2,10,50\n-20,3,2,1\n20,0,0,0\n80,-4,-3,-2.5\n";
  const spec = { value: "ratio", down: "temperature", across: "mass flow" } as const;
  it("reads back what it writes", () => {
    const table = readTwoAxisTable(text, spec);
    expect(table.values[2]?.[2]).toBeCloseTo(-0.025, 15);
    expect(table.down.values[0]).toBeCloseTo(253.15, 12);
    expect(writeTwoAxisTable(table)).toBe(text);
  });
  it.each([
    ["a corner that says nothing", text.replace(" by ", ", "), "E_COLUMN", "1:1"],
    ["a wrong unit", text.replace("g/s", "V"), "E_UNIT", "1:1"],
    ["a repeated breakpoint", text.replace(",10,", ",2,"), "E_ORDER", "1:58"],
    ["an unsorted breakpoint", text.replace("\n20,", "\n-30,"), "E_ORDER", "3:1"],
    ["a short row", text.replace("20,0,0,0", "20,0,0"), "E_SYNTAX", "3:1"],
    ["a word", text.replace("-2.5", "low"), "E_NUMBER", "4:10"],
    ["one row", text.split("\n").slice(0, 2).join("\n"), "E_SHAPE", "1:1"],
  ])("refuses %s", (_, bad, code, place) => {
    const [fault] = faultsOf(() => readTwoAxisTable(bad, spec, { file }));
    expect([fault?.code, `${fault?.at?.line}:${fault?.at?.column}`]).toEqual([code, place]);
  });
});

describe("written tables", () => {
  it.each(["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "  =1", "＝1", "|calc", '=HYPERLINK("x")'])(
    "neutralise %j",
    (text) => {
      expect(textCell(text).replace(/^"/u, "")[0]).toBe("'");
    },
  );
  it("leave ordinary text alone", () => {
    expect(textCell("rescaled")).toBe("rescaled");
    expect(textCell("a, b")).toBe('"a, b"');
    expect(textCell('say "so"')).toBe('"say ""so"""');
  });
  it("read back to the same doubles (property)", () => {
    fc.assert(
      fc.property(fc.array(fc.double({ min: 1e-12, max: 1e6, noNaN: true }), { minLength: 1 }), (values) => {
        const text = writeTable([{ name: "airflow", unit: "lb/min", dimension: "mass flow", values }]);
        const again = columnOf(readTable(text, [{ name: "airflow", dimensions: ["mass flow"] }]), "airflow");
        again.values.forEach((value, i) => {
          expect(Math.abs(value / (values[i] as number) - 1)).toBeLessThan(3e-16);
        });
      }),
      { numRuns: 300, seed: 7 },
    );
  });
  it("never read a hostile text as anything but a table or faults (property)", () => {
    const pieces = fc.constantFrom(
      "signal [Hz]",
      "airflow [g/s]",
      ",",
      ";",
      "\t",
      "\n",
      "\r\n",
      '"',
      "1",
      "2.5",
      "3,5",
      "NaN",
      "=1",
      "[",
      "]",
      "__proto__",
      "constructor [Hz]",
      "\u0000",
      "é",
      " ",
      "1e999",
      "-",
    ); // prettier-ignore
    fc.assert(
      fc.property(fc.array(pieces, { maxLength: 30 }), (parts) => {
        const text = `${parts.length % 2 === 0 ? "signal [Hz],airflow [g/s]\n" : ""}${parts.join("")}`;
        try {
          const table = readAirflowTable(text, "frequency");
          for (const value of [...table.signal, ...table.flow]) expect(Number.isFinite(value)).toBe(true);
        } catch (error) {
          expect((error as Error).name).toBe("BellmouthError");
        }
        expect(({} as Record<string, unknown>)["polluted"]).toBeUndefined();
      }),
      fuzzRuns(2000, 3),
    );
  });
});
