import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { EXIT, run } from "@bellmouth/cli";
import { planFiles, planSwap, readDocument, swapDocument } from "bellmouth/job";
import { RESULT_MARK } from "bellmouth/job/files";
import fc from "fast-check";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { fuzzCases } from "../support/fuzz/cases.js";
import { donorSwap, openTable, smallSwap, TABLES, temperatureSwap } from "../support/fuzz/documents.js";
import { HOSTILE_TEXT } from "../support/fuzz/hostile.js";
import { requireFinite } from "../support/fuzz/require-finite.js";
import { requireQuiet } from "../support/fuzz/require-quiet.js";
import { startWatch } from "../support/fuzz/watch.js";

// Plans of documents whose numbers are odd, but which are documents: a table that is written can be loaded, whatever
// went in; and what is refused leaves none.

const share = fc.double({ min: 0, max: 1, maxExcluded: true, noNaN: true });
const change = fc.record({
  at: share,
  factor: fc.constantFrom(0.5, 0.8, 0.9, 0.99, 1.01, 1.1, 1.5, 2, 3, 10, 0.1, 1.0001, 0),
});

/** The numbers of a text, some of them multiplied. */
function bent(text: string, changes: readonly { at: number; factor: number }[]): string {
  const numbers = [...text.matchAll(/(?<![\w.^])\d+(?:\.\d+)?(?![\w.^])/gu)];
  const chosen = new Map(
    changes.map(({ at, factor }) => [numbers[Math.floor(at * numbers.length)]?.index, factor] as const),
  );
  return text.replace(/(?<![\w.^])\d+(?:\.\d+)?(?![\w.^])/gu, (number, index: number) => {
    const factor = chosen.get(index);
    return factor === undefined ? number : String(Number((Number(number) * factor).toPrecision(12)));
  });
}

const bases = [smallSwap, smallSwap, smallSwap, donorSwap, temperatureSwap];
const name = fc.oneof(
  fc.constantFrom(...HOSTILE_TEXT),
  fc.string({ maxLength: 12, unit: "grapheme" }),
  fc.constant("wanted"),
);
const slip = fc.record({
  base: fc.nat(bases.length - 1),
  document: fc.array(change, { maxLength: 2 }),
  table: fc.array(change, { maxLength: 2 }),
  title: name,
  scenario: name,
});

/** A row of a CSV file, taken apart without the project's own reader. */
const cellsOf = (line: string): string[] =>
  (line.match(/"(?:[^"]|"")*"|[^,]+|(?<=,)(?=,|$)/gu) ?? []).map((cell) =>
    cell.startsWith('"') ? cell.slice(1, -1).replaceAll('""', '"') : cell,
  );

function checkFiles(
  files: readonly { readonly name: string; readonly text: string }[],
  refused: boolean,
  scenario: string,
): void {
  const loadable = files.filter((file) => /^(?:airflow|temperature)-table\.csv$/u.test(file.name));
  if (refused !== (loadable.length === 0)) throw new Error("a refused plan has a table, or another has none");
  for (const { name: file, text } of loadable) {
    const rows = text
      .trimEnd()
      .split("\n")
      .slice(1)
      .map((line) => line.split(",").map(Number));
    if (rows.length < 2) throw new Error(`${file}: ${rows.length} rows`);
    rows.forEach(([x = Number.NaN, y = Number.NaN], i) => {
      if (!(Number.isFinite(x) && Number.isFinite(y))) throw new Error(`${file}: row ${i} is ${x}, ${y}`);
      const [before = Number.NaN, under = Number.NaN] = rows[i - 1] ?? [];
      if (i > 0 && !(x > before)) throw new Error(`${file}: its axis does not rise at row ${i}`);
      if (file.startsWith("airflow") && i > 0 && !(y > under))
        throw new Error(`${file}: flow does not rise at row ${i}: ${text}`);
      if (file.startsWith("airflow") && !(y >= 0)) throw new Error(`${file}: row ${i} is ${y}`);
    });
  }
  for (const { name: file, text } of files) {
    if (file.endsWith(".json")) {
      JSON.parse(text);
      continue;
    }
    if (!file.endsWith(".csv")) continue;
    for (const line of text.trimEnd().split("\n")) {
      for (const cell of cellsOf(line)) {
        if (/^(?:nan|-?infinity|undefined|null)$/iu.test(cell) && cell !== scenario)
          throw new Error(`${file}: ${line}`);
        // A spreadsheet takes these for a formula; a negative number is none.
        if (/^\s*[=+\-@|＝＋－＠]|^[\t\r]/u.test(cell) && !/^-\d+(?:\.\d+)?(?:e[+-]?\d+)?$/u.test(cell)) {
          throw new Error(`${file}: a formula: ${cell}`);
        }
      }
    }
  }
}

describe("plans of documents with odd numbers and names", () => {
  let folder = "";
  beforeAll(() => {
    folder = mkdtempSync(join(tmpdir(), "bellmouth-plans-"));
    for (const [file, text] of Object.entries(TABLES)) writeFileSync(join(folder, file), text);
  });
  const watch = startWatch();
  afterAll(() => {
    watch.end();
    rmSync(folder, { recursive: true, force: true });
  });

  it("tables that can be loaded, or faults", async () => {
    const cases = fuzzCases("plan");
    const levels = { "go with care": 0, "look first": 0, refused: 0, faults: 0 };
    await fc.assert(
      fc.asyncProperty(slip, fc.nat(19), async ({ base, document, table, title, scenario }, way) => {
        const text = bent(bases[base] as string, document)
          .replace("title: A wider meter", () => `title: ${JSON.stringify(title)}`)
          .replace("name: wanted", () => `name: ${JSON.stringify(scenario)}`);
        const meter = bent(TABLES["meter.csv"] as string, table);
        if (way === 0) {
          writeFileSync(join(folder, "odd.yaml"), text);
          writeFileSync(join(folder, "meter.csv"), meter);
          await watch.runAsync(text, () => planned(folder, scenario));
          return;
        }
        const level = watch.run(`${text}\n${meter}`, () => {
          const read = readDocument([swapDocument], text, { open: openTable({ "meter.csv": meter }) });
          if (!read.ok) throw read.faults[0];
          const plan = planSwap(read.document);
          requireFinite(plan);
          checkFiles(planFiles(plan), plan.verdict.level === "refused", scenario);
          return plan.verdict.level;
        });
        levels[level ?? "faults"]++;
      }),
      cases,
    );
    expect(watch.cases()).toBe(cases.numRuns);
    expect(levels.faults).toBeLessThan((cases.numRuns * 2) / 3);
    expect(levels["go with care"] + levels["look first"]).toBeGreaterThan(cases.numRuns / 10);
  });
});

/** Plans a document as the command does, and looks at what stands in the folder after it. */
async function planned(folder: string, scenario: string): Promise<void> {
  const out = join(folder, "out");
  rmSync(out, { recursive: true, force: true });
  let said = "";
  const say = (text: string): void => {
    said += text;
  };
  const code = await run(["plan", "odd.yaml", "--out", "out"], { stdout: say, stderr: say, cwd: folder });
  if (code === EXIT.internal) throw new Error(said);
  requireQuiet(said);
  const left = readdirSync(folder).filter((file) => file.startsWith("."));
  if (left.length > 0) throw new Error(`left behind: ${left.join(", ")}`);
  if (existsSync(out) !== (code === EXIT.done || code === EXIT.unsafe))
    throw new Error(`exit code ${code}: ${said}`);
  if (!existsSync(out)) return;
  const listed = readFileSync(join(out, RESULT_MARK), "utf8").trimEnd().split("\n");
  const files = listed.map((name) => ({ name, text: readFileSync(join(out, name), "utf8") }));
  checkFiles(files, code === EXIT.unsafe, scenario);
}
