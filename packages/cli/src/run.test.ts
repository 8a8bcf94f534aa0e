import { cpSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { CAUTIONS } from "bellmouth/stage";
import { describe, expect, it } from "vitest";
import { type Ran, runIn } from "../../../tests/support/run-in.js";
import { COMMANDS, EXIT } from "./index.js";
import { VERSION } from "./version.js";

const demo = new URL("../../../examples/demo/", import.meta.url).pathname;

/** Runs a command line and gives what it printed. */
const ran = (...argv: readonly string[]): Promise<Ran> => runIn(demo, argv);

describe("the command line", () => {
  it("says what it can do", async () => {
    const { code, stdout, stderr } = await ran("help");
    expect(code).toBe(EXIT.done);
    expect(stderr).toBe("");
    for (const command of COMMANDS) expect(stdout).toContain(`  ${command.name} `);
    expect(stdout).toContain("70  an internal error of bellmouth");
    for (const way of ["--help", "-h"]) expect((await ran(way)).stdout).toBe(stdout);
    // Without a command it is a message, not data.
    expect(await ran()).toMatchObject({ code: EXIT.usage, stdout: "", stderr: stdout });
  });

  it("helps with every command, both ways", async () => {
    for (const { name, options } of COMMANDS) {
      const first = await ran("help", name);
      expect(first.code).toBe(EXIT.done);
      expect(first.stdout).toMatch(new RegExp(`^bellmouth ${name} `));
      for (const option of options) expect(first.stdout).toContain(`--${option.name}`);
      expect((await ran(name, "--help")).stdout).toBe(first.stdout);
      expect(JSON.parse((await ran("help", name, "--json")).stdout)).toMatchObject({ name });
    }
  });

  it("knows its version", async () => {
    const { version } = JSON.parse(readFileSync(new URL("../package.json", import.meta.url), "utf8")) as {
      version: string;
    };
    expect(VERSION).toBe(version);
    expect(await ran("--version")).toEqual({ code: 0, stdout: `${version}\n`, stderr: "" });
  });
});

describe("check", () => {
  it("says what a document means, in SI", async () => {
    const { code, stdout, stderr } = await ran("check", "swap.yaml");
    expect(stderr).toBe("");
    expect(code).toBe(EXIT.done);
    expect(stdout).toMatch(/present\.housing\.bore +74 mm ± 0\.1 mm +0\.074 m ± 0\.0001 m\n/u);
    expect(stdout).toMatch(/engine\.displacement +2\.2 L +0\.0022 m\^3\n/u);
    expect(stdout).toContain("read: present-airflow.csv, donor-airflow.csv");
  });

  it("gives the same as JSON", async () => {
    const { stdout } = await ran("check", "swap.yaml", "--json");
    const data = JSON.parse(stdout) as { quantities: { path: string; value?: number; u?: number }[] };
    const bore = data.quantities.find((one) => one.path === "present.housing.bore");
    expect(bore).toMatchObject({ value: 0.074, u: 1e-4, unit: "mm" });
  });
});

describe("plan", () => {
  it("prints the verdict and writes tables, data and summary, once", async () => {
    const folder = mkdtempSync(join(tmpdir(), "bellmouth-plan-"));
    try {
      const out = join(folder, "result");
      const first = await ran("plan", "swap.yaml", "--out", out);
      expect(first.code).toBe(EXIT.done);
      expect(first.stdout).toMatch(/^Harrow 2\.2 estate, 74 mm to 86 mm\n/u);
      expect(first.stdout).toMatch(/Headroom above it: [\d.]+ % \(95 %: /u);
      for (const caution of CAUTIONS) expect(first.stderr).toContain(caution);
      const names = readdirSync(out);
      for (const name of ["airflow-table.csv", "temperature-table.csv", "summary.md", "plan.json"]) {
        expect(names).toContain(name);
      }
      expect(JSON.parse(readFileSync(join(out, "plan.json"), "utf8"))).toMatchObject({ bellmouth: "plan 1" });
      const table = readFileSync(join(out, "airflow-table.csv"), "utf8");
      const again = await ran("plan", "swap.yaml", "--out", out);
      expect(again.code).toBe(EXIT.file);
      expect(again.stderr).toMatch(/there is a result already .*--replace/u);
      expect((await ran("plan", "swap.yaml", "--out", out, "--replace")).code).toBe(EXIT.done);
      // The same input gives the same bytes.
      expect(readFileSync(join(out, "airflow-table.csv"), "utf8")).toBe(table);
      expect(readdirSync(folder)).toEqual(["result"]);
    } finally {
      rmSync(folder, { recursive: true, force: true });
    }
  });

  it("shows control characters in a user's names by their numbers, everywhere", async () => {
    const folder = mkdtempSync(join(tmpdir(), "bellmouth-plan-"));
    try {
      cpSync(demo, folder, { recursive: true });
      const text = readFileSync(join(folder, "swap.yaml"), "utf8");
      const hostile = text
        .replace("title: Harrow", 'title: "\\e[31mHarrow"\n#')
        .replaceAll(/name: (today|cams), (\w+).*/gu, 'name: "\\r\\u202E$1 $2"');
      writeFileSync(join(folder, "hostile.yaml"), hostile);
      for (const command of ["plan", "headroom", "sweep"]) {
        const { code, stdout, stderr } = await ran(command, join(folder, "hostile.yaml"));
        expect(code, stderr).toBe(EXIT.done);
        expect(stdout).toMatch(/\\u\{202e\}/u);
        expect(`${stdout}${stderr}`.replaceAll("\n", "")).not.toMatch(/[\p{Cc}\p{Bidi_Control}]/u);
      }
    } finally {
      rmSync(folder, { recursive: true, force: true });
    }
  });

  it("gives JSON, and asks where to for a replacement", async () => {
    const { stdout, code } = await ran("plan", "swap.yaml", "--json");
    expect(code).toBe(EXIT.done);
    expect(JSON.parse(stdout)).toMatchObject({ bellmouth: "plan 1", cautions: [...CAUTIONS] });
    expect(await ran("plan", "swap.yaml", "--replace")).toMatchObject({
      code: EXIT.usage,
      stderr: expect.stringContaining("'--replace' needs something to write"),
    });
  });
});

describe("headroom", () => {
  it("names every scenario and both ends", async () => {
    const { stdout, stderr } = await ran("headroom", "swap.yaml");
    expect(stdout).toMatch(/: Usable to [\d.]+ Hz, [\d.]+ g\/s, where /u);
    expect(stdout).toMatch(/Present meter: usable to /u);
    for (const name of ["today, measured pull", "today, coldest day", "cams, coldest day"]) {
      expect(stdout).toContain(name);
    }
    expect(stdout).toMatch(/Governing demand, 'cams, coldest day': \d+ Hz of \d+ Hz/u);
    expect(stderr).toContain(CAUTIONS[0]);
  });
});

describe("sweep", () => {
  it("gives a row for every bore, and which will do", async () => {
    const { stdout, code } = await ran("sweep", "swap.yaml");
    expect(code).toBe(EXIT.done);
    // 70 mm to 100 mm in steps of 2 mm, below a head.
    expect(stdout.match(/^ +\d+ +[\d.]+ /gmu)?.length).toBe(16);
    const data = JSON.parse((await ran("sweep", "swap.yaml", "--json")).stdout) as {
      rows: { bore: number }[];
    };
    expect(data.rows.map((row) => Math.round(row.bore * 1000))).toEqual(
      Array.from({ length: 16 }, (_, i) => 70 + 2 * i),
    );
  });

  it("says so when the document asks for none", async () => {
    const folder = mkdtempSync(join(tmpdir(), "bellmouth-sweep-"));
    try {
      cpSync(demo, folder, { recursive: true });
      const text = readFileSync(join(demo, "swap.yaml"), "utf8");
      writeFileSync(join(folder, "swap.yaml"), text.replace(/^sweep:\n(?: .*\n)+/mu, ""));
      const { code, stderr } = await ran("sweep", join(folder, "swap.yaml"));
      expect(code).toBe(EXIT.input);
      expect(stderr).toMatch(/the document asks for no sweep: the key 'sweep' is missing/u);
    } finally {
      rmSync(folder, { recursive: true, force: true });
    }
  });
});

describe("schema and units", () => {
  it("print JSON Schemas, kinds, and units", async () => {
    expect(JSON.parse((await ran("schema", "swap")).stdout)).toMatchObject({
      title: "bellmouth swap document",
    });
    expect((await ran("schema")).stdout).toMatch(/^swap +/u);
    const keys = (await ran("schema", "swap", "--keys")).stdout;
    expect(keys).toMatch(/^present\*: /mu);
    expect(keys).toMatch(/^ {4}bore: Inner diameter where the element sits\. +Example: 70 mm ± 0\.1 mm$/mu);
    expect(keys).not.toContain("[object");
    expect((await ran("units", "mass", "flow")).stdout).toMatch(/^mass flow {2}g\/s, kg\/s, kg\/h/u);
    expect((await ran("units", "mass flow")).stdout).toMatch(/^mass flow/u);
    expect((await ran("units")).stdout.split("\n").length).toBeGreaterThan(15);
  });
});
