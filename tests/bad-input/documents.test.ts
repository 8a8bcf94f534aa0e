import { DOCUMENT_KINDS, readDocument, requireDocument } from "bellmouth/document";
import { parseSource, separateFaults } from "bellmouth/text";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { fuzzRuns } from "../support/fuzz-runs.js";
import { opener, swapText } from "../support/swap-sample.js";

const file = "swap.yaml";

/** `code line:column path | message` of every fault. */
function faultLines(text: string, changes: Readonly<Record<string, string>> = {}, name = file): string[] {
  const result = readDocument(DOCUMENT_KINDS, text, { file: name, open: opener(changes) });
  if (result.ok) return [];
  return result.faults.map(
    (fault) =>
      `${fault.code} ${fault.at?.line}:${fault.at?.column} ${fault.at?.path ?? ""} | ${fault.message}`,
  );
}

/** Where `words` stand in the sample: its line and column. */
function place(words: string, text = swapText): string {
  const before = text.slice(0, text.indexOf(words));
  return `${before.split("\n").length}:${before.length - before.lastIndexOf("\n")}`;
}

/** The sample with one change; the change must hit exactly once. */
function changed(from: string, to: string): string {
  expect(swapText.split(from).length - 1, from).toBe(1);
  return swapText.replace(from, to);
}

describe("one slip in a swap document", () => {
  it("the sample itself has none", () => expect(faultLines(swapText)).toEqual([]));

  // [what, from, to, code, path, words of the message]; the place is that of `to`'s changed value, given by `mark`
  it.each([
    [
      "a wrong unit",
      "bore: 70 mm ± 0.1 mm",
      "bore: 70 kg",
      "E_UNIT",
      "70 kg",
      /present\.housing\.bore: the unit of a mass where a length is meant/,
    ],
    [
      "no unit",
      "bore: 70 mm ± 0.1 mm",
      "bore: 70",
      "E_UNIT",
      "70\n",
      /found '70' without a unit; accepted: mm, cm, m, um, in, ft/,
    ],
    [
      "a decimal comma",
      "bore: 70 mm ± 0.1 mm",
      "bore: 70,5 mm",
      "E_NUMBER",
      "70,5",
      /the decimal mark is a point/,
    ],
    [
      "a bore of zero",
      "bore: 70 mm ± 0.1 mm",
      "bore: 0 mm",
      "E_DOMAIN",
      "0 mm\n",
      /found '0 mm'; accepted: > 0 mm and <= 500 mm/,
    ],
    ["a negative bore", "bore: 70 mm ± 0.1 mm", "bore: -70 mm", "E_DOMAIN", "-70 mm", /> 0 mm/],
    ["a bore of NaN", "bore: 70 mm ± 0.1 mm", "bore: .nan", "E_NUMBER", ".nan", /not a finite number/],
    ["an infinite bore", "bore: 70 mm ± 0.1 mm", "bore: .inf", "E_NUMBER", ".inf", /not a finite number/],
    ["a hexadecimal bore", "bore: 70 mm ± 0.1 mm", "bore: 0x46", "E_NUMBER", "0x46", /decimal here/],
    [
      "a list for a bore",
      "bore: 70 mm ± 0.1 mm",
      "bore: [70 mm]",
      "E_SCHEMA",
      "[70 mm]",
      /a list of 1; accepted: a length with its unit/,
    ],
    ["nothing for a bore", "bore: 70 mm ± 0.1 mm", "bore:", "E_SCHEMA", "bore:\n", /found nothing/],
    [
      "a misspelt key",
      "  accuracy: 2 %",
      "  acuracy: 2 %",
      "E_SCHEMA",
      "acuracy",
      /'acuracy' is not a key of this block; did you mean 'accuracy'/,
    ],
    [
      "a gauge barometer",
      "98.5 kPa absolute",
      "98.5 kPa gauge",
      "E_UNIT",
      "98.5 kPa gauge",
      /add the barometer/,
    ],
    [
      "a barometer that says nothing",
      "98.5 kPa absolute",
      "98.5 kPa",
      "E_UNIT",
      "98.5 kPa\n",
      /write 'kPa absolute'/,
    ],
    [
      "psi for a barometer in kPa",
      "98.5 kPa absolute",
      "98.5 psia",
      "E_DOMAIN",
      "98.5 psia",
      /accepted: >= 5\.80\d+ psia/,
    ],
    ["a bare accuracy", "  accuracy: 2 %", "  accuracy: 2", "E_UNIT", "2\n", /needs a % sign/],
    ["an accuracy of 200 %", "  accuracy: 2 %", "  accuracy: 200 %", "E_DOMAIN", "200 %", /<= 30 %/],
    ["a volume flow", "peak: 260 g/s ± 3 %", "peak: 500 cfm", "E_UNIT", "500 cfm", /a volume is no mass/],
    [
      "a wrong word",
      "source: donor",
      "source: doner",
      "E_SCHEMA",
      "doner",
      /did you mean 'donor'.*'same-element' or 'donor'/,
    ],
    [
      "a span the wrong way",
      "element: 0 .. 0.3",
      "element: 0.3 .. 0",
      "E_ORDER",
      "0.3 .. 0\n",
      /from its smaller/,
    ],
    ["an element outside the duct", "element: 0 .. 0.3", "element: 0 .. 1.3", "E_DOMAIN", "0 .. 1.3", /<= 1/],
    [
      "a probe that fills the duct",
      "blockage: 520 mm^2 ± 30 mm^2",
      "blockage: 52 cm^2",
      "E_DOMAIN",
      "\n    bore: 70",
      /fills the duct/,
    ],
    [
      "volts for a frequency sensor",
      "range: 30 Hz .. 12 kHz",
      "range: 0.2 V .. 4.8 V",
      "E_SIGNAL_KIND",
      "0.2 V .. 4.8 V",
      /a voltage for a sensor that puts out a frequency/,
    ],
    [
      "bits for a frequency input",
      "tick: 1 us",
      "bits: 10",
      "E_SIGNAL_KIND",
      "10}\n    storage",
      /'bits' belongs to a voltage input/,
    ],
    [
      "a capture upside down",
      "from: 20 Hz, to: 12 kHz",
      "from: 20 kHz, to: 12 kHz",
      "E_ORDER",
      "12 kHz, tick",
      /'to' must lie above/,
    ],
    [
      "another version",
      "bellmouth: swap 1",
      "bellmouth: swap 2",
      "E_SCHEMA",
      "swap 2",
      /reads version 1 of the swap document/,
    ],
    ["another kind", "bellmouth: swap 1", "bellmouth: swop 1", "E_SCHEMA", "swop 1", /did you mean 'swap 1'/],
    [
      "bore and width",
      "    width: 80 mm ± 0.2 mm\n",
      "    width: 80 mm ± 0.2 mm\n    bore: 80 mm\n",
      "E_SCHEMA",
      "80 mm ± 0.2 mm\n    bore",
      /'width' does not go with 'bore'/,
    ],
    [
      "a width alone",
      "    height: 60 mm\n",
      "",
      "E_SCHEMA",
      "\n    width",
      /'height' is missing beside 'width'/,
    ],
    [
      "a scenario that asks nothing",
      "peak: 260 g/s ± 3 %",
      "day: {temperature: 0 degC, pressure: 100 kPa absolute}",
      "E_SCHEMA",
      "{name: wanted",
      /'engine' is missing beside 'day'/,
    ],
    ["an engine without efficiency", ", volumetric-efficiency: 1.02 ± 0.03", "", "", "", /^$/],
    [
      "twin scenarios",
      "name: wanted",
      "name: measured",
      "E_SCHEMA",
      "measured, peak",
      /two scenarios of the same name/,
    ],
    [
      "counts without a converter",
      "    converter: {bits: 10, reference: 5 V}\n",
      "",
      "E_SCHEMA",
      "temperature:\n    direction",
      /'converter' is missing/,
    ],
    [
      "volts on an axis of counts",
      "[0 counts, 512 counts, 1023 counts]",
      "[0 counts, 2.5 V, 1023 counts]",
      "E_UNIT",
      "2.5 V, 1023",
      /a voltage on an axis of count/,
    ],
    [
      "repeated breakpoints",
      "[0 counts, 512 counts, 1023 counts]",
      "[0 counts, 512 counts, 512 counts]",
      "E_ORDER",
      "512 counts]",
      /must rise strictly/,
    ],
    [
      "a column that a log has not",
      "airflow: airflow, time",
      "airflow: air, time",
      "E_COLUMN",
      "",
      /the file has no such column/,
    ],
    [
      "a file that is not there",
      "table: donor.csv",
      "table: nowhere.csv",
      "E_FILE",
      "nowhere.csv",
      /there is no such file/,
    ],
    [
      "a sweep of ten thousand bores",
      "step: 2 mm",
      "step: 0.001 mm",
      "E_TOO_LARGE",
      "0.001 mm",
      /too many bores/,
    ],
    [
      "a rich bias of minus one",
      "rich-bias: 1",
      "rich-bias: -1",
      "E_SCHEMA",
      "-1, high",
      /a number from 0 to 3/,
    ],
    ["a step of tens of grams", "step: 0.01 g/s", "step: 0 g/s", "E_DOMAIN", "0 g/s, from", /> 0 g\/s/],
    [
      "a block for a title",
      "title: A wider meter for the hill-climb four",
      "title: {a: b}",
      "E_SCHEMA",
      "{a: b}",
      /a block with a/,
    ],
    [
      "text for a block",
      "idle: {airflow: 3.2 g/s ± 10 %}",
      "idle: 3.2 g/s",
      "E_SCHEMA",
      "3.2 g/s\n",
      /a block with airflow, engine, day/,
    ],
  ] as const)("%s", (_, from, to, code, mark, words) => {
    const text = changed(from, to);
    const lines = faultLines(text);
    if (code === "") {
      // What the document's own engine block says serves the scenario.
      expect(lines).toEqual([]);
      return;
    }
    expect(lines.length).toBe(1);
    expect(lines[0]).toMatch(words);
    const expected = mark === "" ? "" : ` ${place(mark.replace(/^\n\s*/u, ""), text)} `;
    expect(lines[0]?.startsWith(`${code}${expected}`)).toBe(true);
  });

  it("all slips at once are all reported, in the order of the document", () => {
    const text = swapText
      .replace("70 mm ± 0.1 mm", "70")
      .replace("source: donor", "source: doner")
      .replace("fit: minimax", "fit: best")
      .replace("strokes: 4, cylinders", "strokes: 3, cylinders")
      .replace("title:", "titel:");
    const lines = faultLines(text);
    expect(lines.map((line) => line.split(" ").slice(0, 2).join(" "))).toEqual([
      "E_SCHEMA 2:1",
      `E_UNIT ${place("70\n", text)}`,
      `E_SCHEMA ${place("doner", text)}`,
      `E_SCHEMA ${place("best", text)}`,
      `E_SCHEMA ${place("3, cylinders", text)}`,
    ]);
  });

  it("mistakes in tables carry the table's place", () => {
    const lines = faultLines(swapText, { "present.csv": "signal [V],airflow [g/s]\n1,2\n2,3\n" });
    expect(lines).toEqual([
      expect.stringMatching(/^E_SIGNAL_KIND 1:1 {2}\| present\.csv:1:1: a voltage table/),
    ]);
  });

  it("F4: a meter's table of 1,500 rows is read, and one of 100,000 is refused at once", () => {
    const long = (rows: number): string => {
      let text = "signal [Hz],airflow [g/s]\n";
      for (let i = 0; i < rows; i++) text += `${1000 + i / 10},${(0.5 + i / 500).toFixed(4)}\n`;
      return text;
    };
    expect(faultLines(swapText, { "present.csv": long(1500) })).toEqual([]);
    for (const text of [swapText, changed("{from: 1.5 kHz, to: 11.5 kHz, count: 21}", "as-present")]) {
      expect(faultLines(text, { "present.csv": long(100_000) })).toEqual([
        expect.stringMatching(
          /^E_TOO_LARGE 1:1 .*present\.csv:1:1.*found 100000 rows; accepted: at most 1500/,
        ),
      ]);
    }
  });

  it("the throwing reader gathers them", () => {
    try {
      requireDocument(DOCUMENT_KINDS, swapText.replace("title:", "name:").replace("70 mm ±", "70 kg ±"), {
        file,
        open: opener(),
      });
      expect.unreachable();
    } catch (error) {
      expect((error as Error).message).toContain("3 mistakes:");
      expect(separateFaults(error as never).length).toBe(3);
    }
  });
});

describe("text that is no document", () => {
  it.each([
    ["nothing", "", "E_SCHEMA", /empty/],
    ["a comment", "# nothing here\n", "E_SCHEMA", /empty/],
    ["a list", "- a\n- b\n", "E_SCHEMA", /a document is a block of keys/],
    ["no header", "title: x\n", "E_SCHEMA", /does not say what it is/],
    ["a number for a header", "bellmouth: 1\n", "E_SCHEMA", /not a kind of document/],
    ["two documents", "bellmouth: swap 1\n---\nbellmouth: swap 1\n", "E_SYNTAX", /more than one document/],
    ["a key twice", "bellmouth: swap 1\ntitle: a\ntitle: b\n", "E_SYNTAX", /the same key stands twice/],
    ["a custom tag", "bellmouth: swap 1\ntitle: !!js/function 'x'\n", "E_SYNTAX", /tags are not used/],
    ["another custom tag", "bellmouth: swap 1\ntitle: !secret x\n", "E_SYNTAX", /tags are not used/],
    ["binary", "bellmouth: swap 1\ntitle: !!binary aGk=\n", "E_SYNTAX", /tags are not used/],
    ["an alias for nothing", "bellmouth: swap 1\ntitle: *who\n", "E_SYNTAX", /alias/],
    [
      "an alias that holds itself",
      "bellmouth: swap 1\npresent: &a\n  housing: *a\n",
      "E_SYNTAX",
      /holds itself/,
    ],
    ["tabs for indentation", "bellmouth: swap 1\npresent:\n\tsignal: voltage\n", "E_SYNTAX", /tab/],
    [
      "unclosed brackets",
      "bellmouth: swap 1\npresent: {signal: voltage\n",
      "E_SYNTAX",
      /a bracket does not close/,
    ],
    [
      "__proto__",
      "bellmouth: swap 1\n__proto__: {polluted: yes}\n",
      "E_SCHEMA",
      /not allowed in any document/,
    ],
    [
      "constructor",
      "bellmouth: swap 1\npresent: {constructor: {prototype: {polluted: 1}}}\n",
      "E_SCHEMA",
      /not allowed/,
    ],
    [
      "a first line that is a block whose keys mean something to JavaScript",
      "bellmouth: {toString: x}\n",
      "E_SCHEMA",
      /not a kind of document this reads \(found '\{"toString":"x"\}'/,
    ],
    ["a number for a key", "bellmouth: swap 1\n1: x\n", "E_SCHEMA", /a key must be text/],
    ["a list for a key", "bellmouth: swap 1\n? [a]\n: x\n", "E_SCHEMA", /a key must be text/],
    ["a merge key", "bellmouth: swap 1\nx: &x {title: a}\n<<: *x\n", "E_SCHEMA", /'<<' is not a key/],
    ["deep brackets", `bellmouth: swap 1\ntitle: ${"[".repeat(20000)}`, "E_TOO_LARGE", /nested too deep/],
    ["deep lists", `bellmouth: swap 1\ntitle:\n  ${"- ".repeat(3000)}x\n`, "E_TOO_LARGE", /nested too deep/],
    [
      "a megabyte too many",
      `bellmouth: swap 1\n${"#".repeat(300_001)}`,
      "E_TOO_LARGE",
      /longer than any document/,
    ],
  ] as const)("%s", (_, text, code, words) => {
    const lines = faultLines(text);
    expect(lines.some((line) => line.startsWith(code) && words.test(line))).toBe(true);
    expect(({} as Record<string, unknown>)["polluted"]).toBeUndefined();
  });

  it("an alias bomb is stopped at once", () => {
    let text = "bellmouth: swap 1\na0: &a0 [x, x, x, x, x, x, x, x, x, x]\n";
    for (let i = 1; i < 12; i++)
      text += `a${i}: &a${i} [${Array(10)
        .fill(`*a${i - 1}`)
        .join(", ")}]\n`;
    const start = performance.now();
    expect(faultLines(text)).toEqual([expect.stringMatching(/^E_TOO_LARGE.*unfolds to too many values/)]);
    expect(performance.now() - start).toBeLessThan(1000);
  });

  it("fifteen thousand keys, and quotes that never make sense, take no more than seconds", () => {
    const start = performance.now();
    const keys = Array.from({ length: 15_000 }, (_, i) => `k${i}: 1`).join("\n");
    expect(faultLines(`bellmouth: swap 1\n${keys}`).length).toBe(50);
    expect(faultLines('"'.repeat(50_000)).length).toBeGreaterThan(0);
    // A tenth of this alone; comparing every key with every other took minutes.
    expect(performance.now() - start).toBeLessThan(10_000);
  });

  it("YAML in a file called .json is refused, JSON is read", () => {
    expect(faultLines('{"bellmouth": swap 1}', {}, "x.json")).toEqual([
      expect.stringMatching(/^E_SYNTAX 1:1[0-9] {2}\| x\.json.*this is not JSON/),
    ]);
    const [first] = faultLines('{\n  "bellmouth": "swap 1",\n  "title": 3\n}', {}, "x.json");
    expect(first).toMatch(/^E_SCHEMA/);
    expect(faultLines('{"bellmouth": "swap 1", "title": "a", "title": "b"}', {}, "x.json")).toEqual([
      expect.stringMatching(/the same key stands twice/),
    ]);
  });

  it("Windows line ends count as one", () => {
    const text = swapText.replace("70 mm ± 0.1 mm", "70 kg").replaceAll("\n", "\r\n");
    expect(faultLines(text)).toEqual([expect.stringMatching(/^E_UNIT 9:11 present\.housing\.bore/)]);
  });

  it("messages show no control characters of the user's text", () => {
    const lines = faultLines('bellmouth: "\\x1b[31mred\\u202e"\n');
    expect(lines[0]).toContain("\\u{1b}[31mred\\u{202e}");
    // Nor of keys, which stand in the path of what is wrong.
    const [key = ""] = faultLines('bellmouth: swap 1\n"\\x9b2J": x\n').filter((line) => line.includes("2J"));
    expect(key.split("|")[1]).toContain("\\u{9b}2J: '\\u{9b}2J' is not a key");
  });
});

describe("any text at all (property)", () => {
  it("gives a document or faults, and never anything else", () => {
    const pieces = fc.constantFrom(
      "bellmouth: swap 1\n",
      "title: x\n",
      "present:\n",
      "  housing: {bore: 70 mm}\n",
      "- ",
      "? ",
      ": ",
      "&a ",
      "*a ",
      "<<: ",
      "!!x ",
      "{",
      "}",
      "[",
      "]",
      ",",
      "\n",
      "  ",
      "\t",
      "'",
      '"',
      "|",
      ">",
      "#",
      "%YAML 1.1\n",
      "---\n",
      "...\n",
      "__proto__: ",
      "constructor: ",
      "~",
      ".nan",
      "1e999",
      "\u0000",
      "\u2028",
      "é",
      "70 mm",
      "scenarios: [",
      "null",
    ); // prettier-ignore
    fc.assert(
      fc.property(fc.array(pieces, { maxLength: 40 }), (parts) => {
        const result = readDocument(DOCUMENT_KINDS, parts.join(""), { file });
        if (!result.ok) {
          expect(result.faults.length).toBeGreaterThan(0);
          for (const fault of result.faults) expect(fault.name).toBe("BellmouthError");
        }
        const source = parseSource(parts.join(""));
        if ("tree" in source) expect(JSON.stringify(source.tree.data)).toBeDefined();
        expect(({} as Record<string, unknown>)["polluted"]).toBeUndefined();
      }),
      fuzzRuns(1000, 5),
    );
  });

  it("a whole document with pieces torn out or put in gives a document or faults", () => {
    fc.assert(
      fc.property(
        fc.nat(swapText.length),
        fc.nat(40),
        fc.constantFrom(
          "",
          "[",
          "{",
          "&a",
          "*a",
          "\n",
          ":",
          "- ",
          "0",
          "-1 g/s",
          "NaN",
          "±",
          "..",
          "% ",
          "' ",
        ),
        (start, length, put) => {
          const text = swapText.slice(0, start) + put + swapText.slice(start + length);
          const result = readDocument(DOCUMENT_KINDS, text, { file, open: opener() });
          if (result.ok) {
            JSON.stringify(result.document, (key, value) => {
              // Missing samples of a log are NaN by the house's rules; nothing else may be.
              if (typeof value === "number" && !/^\d+$/u.test(key)) expect(Number.isFinite(value)).toBe(true);
              return value;
            });
          } else expect(result.faults.length).toBeGreaterThan(0);
        },
      ),
      fuzzRuns(300, 6),
    );
  });
});
