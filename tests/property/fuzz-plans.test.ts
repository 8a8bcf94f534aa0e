import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { EXIT, run } from "@bellmouth/cli";
import { planFiles } from "bellmouth/account";
import { readDocument, swapDocument } from "bellmouth/document";
import { RESULT_MARK } from "bellmouth/files";
import { planSwap, readResult } from "bellmouth/stage";
import fc from "fast-check";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { fuzzCases } from "../support/fuzz/cases.js";
import { checkCsv, checkLoadable } from "../support/fuzz/check-files.js";
import { donorSwap, openTable, smallSwap, TABLES, temperatureSwap } from "../support/fuzz/documents.js";
import { HOSTILE_TEXT } from "../support/fuzz/hostile.js";
import { bentNumbers, numberChanges } from "../support/fuzz/mutations.js";
import { requireFinite } from "../support/fuzz/require-finite.js";
import { requireQuiet } from "../support/fuzz/require-quiet.js";
import { startWatch } from "../support/fuzz/watch.js";

// Plans of documents whose numbers are odd, but which are documents: a table that is written can be loaded, whatever
// went in; and what is refused leaves none.

const bases = [smallSwap, smallSwap, smallSwap, donorSwap, temperatureSwap];
const name = fc.oneof(
  { weight: 1, arbitrary: fc.constantFrom(...HOSTILE_TEXT) },
  { weight: 1, arbitrary: fc.string({ minLength: 1, maxLength: 12, unit: "grapheme" }) },
  { weight: 2, arbitrary: fc.constant("wanted") },
);
const slip = fc.record({
  base: fc.nat(bases.length - 1),
  document: numberChanges(2),
  table: numberChanges(2),
  title: name,
  scenario: name,
});

function checkFiles(
  files: readonly { readonly name: string; readonly text: string }[],
  refused: boolean,
  scenario: string,
): void {
  const loadable = files.filter((file) => /^(?:airflow|temperature)-table\.csv$/u.test(file.name));
  if (refused !== (loadable.length === 0)) throw new Error("a refused plan has a table, or another has none");
  loadable.forEach(checkLoadable);
  for (const file of files) {
    if (file.name.endsWith(".json")) readResult(file.text, file.name);
    if (file.name.endsWith(".csv")) checkCsv(file, scenario);
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
    const levels = { ready: 0, "decision needed": 0, "do not use": 0, faults: 0 };
    await fc.assert(
      fc.asyncProperty(slip, fc.nat(19), async ({ base, document, table, title, scenario }, way) => {
        const text = bentNumbers(bases[base] as string, document)
          .replace("title: A wider meter", () => `title: ${JSON.stringify(title)}`)
          .replace("name: wanted", () => `name: ${JSON.stringify(scenario)}`);
        const meter = bentNumbers(TABLES["meter.csv"] as string, table);
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
          checkFiles(planFiles(plan), plan.verdict.level === "do not use", scenario);
          return plan.verdict.level;
        });
        levels[level ?? "faults"]++;
      }),
      cases,
    );
    expect(watch.cases()).toBe(cases.numRuns);
    expect(levels.faults).toBeLessThan((cases.numRuns * 2) / 3);
    // Figures that contradict each other are refused, and so are most of these documents; some must be left.
    expect(levels.ready + levels["decision needed"]).toBeGreaterThan(cases.numRuns / 25);
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
  const listed = readFileSync(join(out, RESULT_MARK), "utf8")
    .trimEnd()
    .split("\n")
    .map((line) => line.replace(/^[0-9a-f]{64} {2}/u, ""));
  const files = listed.map((name) => ({ name, text: readFileSync(join(out, name), "utf8") }));
  checkFiles(files, code === EXIT.unsafe, scenario);
}
