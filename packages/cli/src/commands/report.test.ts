import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { demoDecision, demoPlan, demoRestriction, demoTrial } from "../../../../tests/support/results.js";
import { type Ran, runIn } from "../../../../tests/support/run-in.js";
import { EXIT } from "../index.js";

let folder = "";
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "bellmouth-report-"));
  const put = (name: string, result: unknown): void =>
    writeFileSync(join(folder, name), JSON.stringify(result));
  put("plan.json", demoPlan());
  put("restriction.json", demoRestriction());
  put("trial.json", demoTrial());
  put("decision.json", demoDecision());
  put("nothing.json", { bellmouth: "plan 1", title: "a stub" });
  writeFileSync(join(folder, "text.json"), "title: no JSON\n");
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const ran = (...argv: readonly string[]): Promise<Ran> => runIn(folder, argv);

describe("report", () => {
  it("shows stored results on one page, in the order given", async () => {
    const names = ["restriction.json", "trial.json", "plan.json", "decision.json"];
    const { code, stdout, stderr } = await ran(
      "report",
      ...names,
      "--report",
      "page.html",
      "--title",
      "All <of> it",
    );
    expect(code, stderr).toBe(EXIT.done);
    expect(
      stdout
        .trim()
        .split("\n")
        .map((line) => line.split(/\s/)[0]),
    ).toEqual(names);
    expect(stderr).toContain("wrote page.html");
    expect(stderr).toContain("law is local");
    const page = readFileSync(join(folder, "page.html"), "utf8");
    expect(page).toContain("<h1>All &lt;of&gt; it</h1>");
    const places = ["restriction-shares", "trial-pressure-effect", "plan-flow", "decision-cost"].map((id) =>
      page.indexOf(`<figure id="${id}">`),
    );
    expect(places.every((place, i) => place > (places[i - 1] ?? 0))).toBe(true);
  });

  it("does not write over an earlier page unasked", async () => {
    expect((await ran("report", "trial.json", "--report", "once.html")).code).toBe(EXIT.done);
    expect((await ran("report", "trial.json", "--report", "once.html")).code).toBe(EXIT.file);
    expect((await ran("report", "trial.json", "--report", "once.html", "--replace")).code).toBe(EXIT.done);
  });

  it("writes each picture as an SVG of its own", async () => {
    const { code, stderr } = await ran("report", "trial.json", "restriction.json", "--pictures", "pictures");
    expect(code, stderr).toBe(EXIT.done);
    const names = readdirSync(join(folder, "pictures")).filter((name) => name.endsWith(".svg"));
    expect(names).toContain("trial-pressure-levels.svg");
    expect(names).toContain("restriction-shares.svg");
    expect(stderr).toContain(`wrote ${names.length} pictures to pictures`);
    for (const name of names) {
      const svg = readFileSync(join(folder, "pictures", name), "utf8");
      expect(svg).toMatch(/^<\?xml/);
      expect(svg).toMatch(/<title id="[^"]+">[^<]+<\/title>/);
    }
  });

  it("refuses files that are no results, all of them at once, and writes nothing", async () => {
    const { code, stderr } = await ran(
      "report",
      "text.json",
      "plan.json",
      "nothing.json",
      "missing.json",
      "--report",
      "none.html",
    );
    expect(code).toBe(EXIT.input);
    expect(stderr).toMatch(/text\.json.*E_SYNTAX/);
    expect(stderr).toMatch(/nothing\.json.*E_SCHEMA/);
    expect(stderr).toMatch(/missing\.json.*E_FILE/);
    expect(existsSync(join(folder, "none.html"))).toBe(false);
  });

  it("wants a result, and somewhere to write", async () => {
    expect((await ran("report")).code).toBe(EXIT.usage);
    const { code, stderr } = await ran("report", "plan.json");
    expect(code).toBe(EXIT.usage);
    expect(stderr).toContain("--report FILE");
  });

  it("gives JSON of what it showed", async () => {
    const { stdout } = await ran("report", "plan.json", "--report", "json.html", "--json");
    expect(JSON.parse(stdout)).toEqual({
      results: [{ file: "plan.json", bellmouth: "plan 1", title: demoPlan().title }],
    });
  });
});
