import { copyFileSync, cpSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { EXIT } from "@bellmouth/cli";
import { type AnyResult, figureSvg, reportPage, resultFigures } from "@bellmouth/report";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { donorSwap, simulateText, TABLES, temperatureSwap } from "../support/fuzz/documents.js";
import { parseMarkup } from "../support/markup.js";
import { type Ran, runIn } from "../support/run-in.js";

// Text of a user in every place where text of a user can come to stand: it is shown as text, and changes nothing else.

const HOSTILE: readonly string[] = [
  `"><script>alert(1)</script>`,
  `' onload='alert(1)' x='`,
  `</title></style></script><img src=x onerror=alert(1)>`,
  `--><svg onload=alert(1)>`,
  `]]><!-- <![CDATA[`,
  `javascript:alert(1)`,
  `&lt;b&gt; &#x3c;b&#x3e; &`,
  `\${alert(1)} {{alert(1)}} <%= 1 %>`,
  "<!--#exec cmd=x --> <?php x ?>",
];

/** Keys whose text is the project's own: words of closed lists, and units. */
const OWN =
  /^(?:bellmouth|level|level|code|kind|dimension|signal|state|origin|outside|fit|unit|units|flags|verdicts?|shape|form|side|role|tapping|direction|change|reads|claim|drift|held|independent)$/u;

/** A copy of plain data in which every text that a user could have written is another. */
function withText(value: unknown, text: string, key = ""): unknown {
  if (typeof value === "string") return OWN.test(key) ? value : `${value} ${text}`;
  if (Array.isArray(value)) return value.map((item) => withText(item, text, key));
  if (typeof value !== "object" || value === null) return value;
  return Object.fromEntries(
    Object.entries(value).map(([name, item]) => [
      name,
      name === "units" ? item : withText(item, text, name === "text" ? "" : name),
    ]),
  );
}

/** Long enough for a correction to be found. */
const driveText = simulateText
  .replace("12 s", "8 min")
  .replace("[idle, town]", "[town, motorway, pulls]")
  .replace("coolant: 20", "coolant: 85")
  .replace("5 Hz", "20 Hz")
  .replace(/^faults.*\n/mu, "");

let folder = "";
const results: AnyResult[] = [];
const ran = (...argv: readonly string[]): Promise<Ran> => runIn(folder, argv);
async function result(command: string, document: string): Promise<AnyResult> {
  const { code, stdout, stderr } = await ran(command, document, "--json");
  expect([EXIT.done, EXIT.unsafe], stderr).toContain(code);
  return JSON.parse(stdout) as AnyResult;
}

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), "bellmouth-injection-"));
  for (const [name, text] of Object.entries(TABLES)) writeFileSync(join(folder, name), text);
  const examples = new URL("../../examples/", import.meta.url);
  for (const one of ["restriction", "trial", "decision"])
    cpSync(new URL(one, examples), folder, { recursive: true });
  writeFileSync(join(folder, "donor.yaml"), donorSwap);
  writeFileSync(join(folder, "temperature.yaml"), temperatureSwap);
  writeFileSync(join(folder, "simulate.yaml"), driveText);
  expect((await ran("simulate", "simulate.yaml", "--out", "drive")).code).toBe(EXIT.done);
  writeFileSync(
    join(folder, "refine.yaml"),
    "bellmouth: refine 1\ntitle: First\ntable: {file: drive/table.csv, signal: frequency, uncertainty: 5 %}\noutside: extend\nlogs: [drive/drive.csv]\n",
  );
  for (const [command, document] of [
    ["plan", "donor.yaml"],
    ["plan", "temperature.yaml"],
    ["restriction", "restriction.yaml"],
    ["trial", "trial.yaml"],
    ["decide", "decision.yaml"],
    ["refine", "refine.yaml"],
  ] as const) {
    results.push(await result(command, document));
  }
}, 120_000);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** What a reader's program is told: elements in order with the names of their attributes. */
const shape = (markup: string): readonly string[] =>
  parseMarkup(markup).tags.map(
    ({ name, end, alone, attributes }) =>
      `${end ? "/" : ""}${name}${alone ? "/" : ""} ${Object.keys(attributes).join(" ")}`,
  );

describe("a page whose every text is hostile", () => {
  it("has results of every kind to show", () => {
    expect(new Set(results.map((one) => one.bellmouth)).size).toBe(5);
  });

  it.each(HOSTILE)("%s", (hostile) => {
    // As long and as wide, but harmless: whatever is laid out by length is laid out the same.
    const harmless = "w".repeat(hostile.length);
    for (const one of results) {
      const page = reportPage([withText(one, hostile) as AnyResult]);
      const parsed = parseMarkup(page);
      expect(shape(page)).toEqual(shape(reportPage([withText(one, harmless) as AnyResult])));
      expect(parsed.tags.filter(({ name, end }) => name === "script" && !end).length).toBe(1);
      for (const { name, attributes } of parsed.tags) {
        for (const [key, value] of Object.entries(attributes)) {
          if (/^on/iu.test(key)) throw new Error(`<${name} ${key}>`);
          if (/^(?:href|src|action|xlink:href)$/iu.test(key) && !/^#[\w-]+$/u.test(value))
            throw new Error(`${key}=${value}`);
        }
      }
      // It is there, as text: in the title and heading at least, and in what was found.
      expect(parsed.text.split(hostile).length - 1, one.bellmouth).toBeGreaterThan(3);
    }
  });

  it.each(HOSTILE)("pictures of their own: %s", (hostile) => {
    for (const one of results) {
      const pictures = resultFigures(withText(one, hostile) as AnyResult).map(figureSvg);
      const plain = resultFigures(withText(one, "w".repeat(hostile.length)) as AnyResult).map(figureSvg);
      expect(pictures.length).toBeGreaterThan(0);
      expect(pictures.map(shape)).toEqual(plain.map(shape));
      for (const picture of pictures) expect(picture).not.toMatch(/<(?:script|img|foreignObject|a)\b/iu);
    }
  });

  it("no character that XML has no place for", () => {
    const odd = "a\u0000b\u0008c\u001bd\ud800e\uffff";
    for (const one of results) {
      const wild = withText(one, odd) as AnyResult;
      for (const text of [reportPage([wild]), ...resultFigures(wild).map(figureSvg)]) {
        // XML 1.0, section 2.2: tab, line ends, and everything from the space on but surrogates, U+FFFE and U+FFFF.
        expect(/[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\u{10000}-\u{10ffff}]/u.exec(text)).toBe(null);
      }
    }
  });

  it("the parser of this test sees, or refuses, what is not escaped", () => {
    for (const text of [
      `<p>${HOSTILE[0]}</p>`,
      `<p>${HOSTILE[2]}</p>`,
      `<p title="${HOSTILE[0]}"></p>`,
      "<p>a & b</p>",
    ]) {
      const tried = () => shape(text).filter((tag) => /^(?:script|img)/u.test(tag));
      let found: readonly string[] | "do not use";
      try {
        found = tried();
      } catch {
        found = "do not use";
      }
      expect(found).not.toEqual([]);
    }
  });
});

describe("hostile names of files, scenarios and titles, through the commands", () => {
  it.skipIf(process.platform === "win32")(
    "are text in page, summary and tables",
    async () => {
      const name = `=x"><img src=y onerror=alert(1)>`;
      copyFileSync(join(folder, "drive", "drive.csv"), join(folder, `${name}.csv`));
      const quoted = JSON.stringify(name);
      writeFileSync(
        join(folder, "refine-odd.yaml"),
        readFileSync(join(folder, "refine.yaml"), "utf8")
          .replace("title: First", `title: ${quoted}`)
          .replace("[drive/drive.csv]", JSON.stringify([`${name}.csv`])),
      );
      writeFileSync(
        join(folder, "plan-odd.yaml"),
        donorSwap
          .replace("title: A wider meter", `title: ${quoted}`)
          .replace("name: pull", `name: ${quoted}`),
      );
      for (const [command, document] of [
        ["refine", "refine-odd.yaml"],
        ["plan", "plan-odd.yaml"],
      ] as const) {
        const out = join(folder, `out-${command}`);
        const { code, stderr } = await ran(command, document, "--out", out);
        expect(code, stderr).toBe(EXIT.done);
        const page = readFileSync(join(out, "report.html"), "utf8");
        const { tags, text } = parseMarkup(page);
        expect(tags.some((tag) => tag.name === "img")).toBe(false);
        expect(text).toContain(name);
        for (const file of readdirSync(out)) {
          const written = readFileSync(join(out, file), "utf8");
          if (file.endsWith(".md")) {
            // Markdown lets HTML through: every mark of it is escaped.
            expect(written).not.toMatch(/(?<!\\)<img/u);
            expect(written).toContain("\\<img");
          }
          // A cell that begins with = is a formula to a spreadsheet.
          if (file.endsWith(".csv")) expect(written).not.toMatch(/(?:^|[,;\t])"?=/mu);
        }
      }
    },
    60_000,
  );
});
