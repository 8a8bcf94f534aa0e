import { mkdirSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { COMMANDS, EXIT, run } from "@bellmouth/cli";
import fc from "fast-check";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { fuzzCases } from "../support/fuzz/cases.js";
import { TABLES } from "../support/fuzz/documents.js";
import { HOSTILE_KEYS, HOSTILE_NUMBERS, HOSTILE_TEXT } from "../support/fuzz/hostile.js";
import { requireQuiet } from "../support/fuzz/require-quiet.js";
import { startWatch } from "../support/fuzz/watch.js";

// Command lines that a slip of the hand, a script or malice makes of good ones.

let folder = "";
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "bellmouth-fuzz-"));
  // One slip each, early in the file: what is fuzzed here is the command line, and reading whole documents takes longer.
  writeFileSync(join(folder, "bad.yaml"), "bellmouth: swap 9\n");
  writeFileSync(join(folder, "bad.json"), '{"bellmouth": "swap 1"}');
  writeFileSync(join(folder, "table.csv"), TABLES["meter.csv"] as string);
  mkdirSync(join(folder, "folder"));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const options = COMMANDS.flatMap((command) => command.options.map((option) => `--${option.name}`));
const word = fc.oneof(
  { weight: 3, arbitrary: fc.constantFrom(...COMMANDS.map((command) => command.name), "help") },
  {
    weight: 3,
    arbitrary: fc.constantFrom("bad.yaml", "bad.json", "table.csv", "folder", "none.yaml", "-", "--"),
  },
  { weight: 3, arbitrary: fc.constantFrom(...new Set(options), "--json", "--help", "-h", "--version", "-j") },
  { weight: 2, arbitrary: fc.constantFrom(...HOSTILE_TEXT, ...HOSTILE_KEYS, ...HOSTILE_NUMBERS) },
  { weight: 1, arbitrary: fc.string({ maxLength: 10, unit: "binary" }) },
);
/** Whole, cut, doubled, in capitals, as an option, with a value. */
const bent = fc.tuple(word, fc.nat(19), word).map(([text, how, other]) => {
  if (how === 0) return text.slice(1);
  if (how === 1) return text + text;
  if (how === 2) return text.toUpperCase();
  if (how === 3) return `--${text}`;
  if (how === 4) return `${text}=${other}`;
  if (how === 5) return text.slice(0, -1);
  return text;
});

describe("command lines", () => {
  const watch = startWatch();
  afterAll(watch.end);

  it("end with a documented code and words, never with a stack", async () => {
    const cases = fuzzCases("commandLine");
    const codes = new Map<number, number>();
    const before = readdirSync(folder).sort();
    await fc.assert(
      fc.asyncProperty(fc.array(bent, { maxLength: 5 }), async (argv) => {
        let stdout = "";
        let stderr = "";
        const io = {
          stdout: (text: string) => {
            stdout += text;
          },
          stderr: (text: string) => {
            stderr += text;
          },
          cwd: folder,
        };
        const code = await watch.runAsync(JSON.stringify(argv), () => run(argv, io));
        if (code === undefined) throw new Error("a fault came through");
        codes.set(code, (codes.get(code) ?? 0) + 1);
        if (code !== EXIT.done && code !== EXIT.input && code !== EXIT.usage && code !== EXIT.file) {
          throw new Error(`exit code ${code}: ${stderr}`);
        }
        if (code !== EXIT.done && stderr === "") throw new Error("failed without a word");
        requireQuiet(stderr);
        requireQuiet(stdout);
        if (/^\s+at .+:\d+:\d+\)?$/mu.test(`${stdout}\n${stderr}`)) throw new Error("a stack");
        if (argv.includes("--json") && stdout !== "") JSON.parse(stdout);
      }),
      cases,
    );
    expect(watch.cases()).toBe(cases.numRuns);
    expect(readdirSync(folder).sort()).toEqual(before);
    for (const code of [EXIT.done, EXIT.input, EXIT.usage, EXIT.file]) {
      expect(codes.get(code) ?? 0, `exit code ${code}`).toBeGreaterThan(cases.numRuns / 2000);
    }
  });
});
