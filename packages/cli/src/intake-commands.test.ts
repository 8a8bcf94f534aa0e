import { mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { type Ran, runIn } from "../../../tests/support/run-in.js";
import { EXIT } from "./index.js";

const examples = new URL("../../../examples/", import.meta.url).pathname;

const ran = (...argv: readonly string[]): Promise<Ran> => runIn(examples, argv);

describe("restriction, trial and decide", () => {
  it.each([
    [
      "restriction",
      "restriction/restriction.yaml",
      /The meter housing \("meter"\) accounts for 4\d/,
      ["by-flow.csv", "elements.csv", "report.html", "restriction.json", "summary.md"],
    ],
    [
      "trial",
      "trial/trial.yaml",
      /The manifold pressure rose by 3\d\d Pa/,
      ["pressure.csv", "report.html", "summary.md", "temperature.csv", "trial.json"],
    ],
    [
      "decide",
      "decision/decision.yaml",
      /86 mm housing \+ cams/,
      ["decision.json", "options.csv", "report.html", "summary.md"],
    ],
  ])("%s prints, gives JSON and writes its files", async (command, document, words, files) => {
    const plain = await ran(command, document);
    expect(plain.code).toBe(EXIT.done);
    expect(plain.stdout).toMatch(words);
    expect(plain.stdout).not.toMatch(/NaN|undefined/);
    expect(plain.stderr).toContain("law is local");
    const json = JSON.parse((await ran(command, document, "--json")).stdout) as { bellmouth: string };
    expect(json.bellmouth).toMatch(/ 1$/);
    const folder = mkdtempSync(join(tmpdir(), "bellmouth-"));
    try {
      const out = join(folder, "result");
      expect((await ran(command, document, "--out", out)).code).toBe(EXIT.done);
      expect(
        readdirSync(out)
          .filter((name) => !name.startsWith("."))
          .sort(),
      ).toEqual(files);
      expect(readFileSync(join(out, "summary.md"), "utf8")).toMatch(/^# Harrow 2\.2 estate/);
      expect((await ran(command, document, "--out", out)).code).toBe(EXIT.file);
    } finally {
      rmSync(folder, { recursive: true });
    }
  });
  it("refuse a document of another kind", async () => {
    const { code, stderr } = await ran("trial", "restriction/restriction.yaml");
    expect(code).toBe(EXIT.input);
    expect(stderr).toContain("trial 1");
  });
});
