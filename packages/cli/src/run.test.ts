import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { COMMANDS, EXIT } from "./index.js";
import { run } from "./run.js";
import { VERSION } from "./version.js";

const demo = new URL("../../../examples/demo/", import.meta.url).pathname;

/** Runs a command line and gives what it printed. */
async function ran(...argv: readonly string[]) {
  let stdout = "";
  let stderr = "";
  const code = await run(argv, {
    stdout: (text) => {
      stdout += text;
    },
    stderr: (text) => {
      stderr += text;
    },
    cwd: demo,
  });
  return { code, stdout, stderr };
}

describe("the command line", () => {
  it("says what it can do", async () => {
    const { code, stdout, stderr } = await ran("help");
    expect(code).toBe(EXIT.done);
    expect(stderr).toBe("");
    for (const command of COMMANDS) expect(stdout).toContain(`  ${command.name} `);
    expect(stdout).toContain("70  a mistake in bellmouth itself");
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

describe("schema and units", () => {
  it("print JSON Schemas, kinds, and units", async () => {
    expect(JSON.parse((await ran("schema", "swap")).stdout)).toMatchObject({
      title: "bellmouth swap document",
    });
    expect((await ran("schema")).stdout).toMatch(/^swap +/u);
    expect((await ran("units", "mass", "flow")).stdout).toMatch(/^mass flow {2}g\/s, kg\/s, kg\/h/u);
    expect((await ran("units", "mass flow")).stdout).toMatch(/^mass flow/u);
    expect((await ran("units")).stdout.split("\n").length).toBeGreaterThan(15);
  });
});
