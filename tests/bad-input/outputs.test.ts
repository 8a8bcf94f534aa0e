import { execFileSync } from "node:child_process";
import {
  cpSync,
  linkSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { EXIT } from "@bellmouth/cli";
import { RESULT_MARK } from "bellmouth/files";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { runIn } from "../support/run-in.js";

let folder = "";
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "bellmouth-outputs-"));
  cpSync(new URL("../../examples/demo/", import.meta.url), folder, { recursive: true });
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const read = (name: string): string => readFileSync(join(folder, name), "utf8");

describe("F2: where a result may go", () => {
  it("F2: never takes the place of a file that was read, under no name", async () => {
    symlinkSync("swap.yaml", join(folder, "link.yaml"));
    linkSync(join(folder, "donor-airflow.csv"), join(folder, "second-name.csv"));
    const inputs = ["swap.yaml", "donor-airflow.csv"].map(read);
    for (const target of ["swap.yaml", "link.yaml", "donor-airflow.csv", "second-name.csv"]) {
      const { code, stderr } = await runIn(folder, ["plan", "swap.yaml", "--report", target, "--replace"]);
      expect(stderr).toContain(`'--report ${target}' would take the place of a file that is read`);
      expect(code).toBe(EXIT.usage);
    }
    const whole = await runIn(folder, ["plan", "swap.yaml", "--out", ".", "--replace"]);
    expect(whole.code).toBe(EXIT.usage);
    expect(["swap.yaml", "donor-airflow.csv"].map(read)).toEqual(inputs);
  });

  it("F2: a log or a result that is read is not written over", async () => {
    await runIn(folder, ["plan", "swap.yaml", "--out", "first"]);
    const again = await runIn(folder, ["report", "first/plan.json", "--pictures", "first", "--replace"]);
    expect(again.code).toBe(EXIT.usage);
    expect(readdirSync(join(folder, "first"))).toContain("plan.json");
  });

  it("F2: --out and --pictures into one folder write one result that holds both", async () => {
    for (const replace of [[], ["--replace"]]) {
      const { code, stderr } = await runIn(folder, [
        "plan",
        "swap.yaml",
        "--out",
        "both",
        "--pictures",
        "./both",
        ...replace,
      ]);
      expect(stderr).not.toContain("E_");
      expect(code).toBe(EXIT.done);
      expect(readdirSync(join(folder, "both"))).toEqual(
        expect.arrayContaining([RESULT_MARK, "plan.json", "airflow-table.csv", "report.html"]),
      );
      expect(
        readdirSync(join(folder, "both")).filter((name) => name.endsWith(".svg")).length,
      ).toBeGreaterThan(2);
    }
  });

  it.each([
    ["--out", "x", "--report", "x/page.html"],
    ["--out", "x", "--report", "x"],
    ["--out", "x", "--pictures", "x/pictures"],
    ["--out", "x/out", "--pictures", "x"],
  ])("F2: %s %s %s %s is refused before anything is written", async (...options) => {
    const { code, stderr } = await runIn(folder, ["plan", "swap.yaml", ...options]);
    expect(stderr).toMatch(/lies in the place of '--(?:out|pictures|report)'.*E_USAGE/);
    expect(code).toBe(EXIT.usage);
    expect(readdirSync(folder)).not.toContain("x");
  });

  it("F1: says what others saved into the folder, and does not lose it", async () => {
    await runIn(folder, ["plan", "swap.yaml", "--out", "kept"]);
    writeFileSync(join(folder, "kept", "airflow-table.csv"), "tuned by hand");
    const { code, stderr } = await runIn(folder, ["plan", "swap.yaml", "--out", "kept", "--replace"]);
    expect(stderr).toMatch(/'airflow-table\.csv' \(changed since\).*E_EXISTS/);
    expect(code).toBe(EXIT.file);
    expect(read("kept/airflow-table.csv")).toBe("tuned by hand");
  });
});

describe.skipIf(process.platform === "win32")("F5: what is no file", () => {
  const refine = (log: string): string => `bellmouth: refine 1
title: A log that is none
table: {file: present-airflow.csv, signal: frequency, uncertainty: 5 %}
outside: hold
logs: [${log}]
`;
  const cases: readonly (readonly [string, RegExp, number])[] = [
    ["logs", /logs: cannot read the file: this is a folder, not a file.*E_FILE/, EXIT.file],
    ["pipe", /pipe: cannot read the file: it is a device or a pipe.*E_FILE/, EXIT.file],
    ["/dev/zero", /\/dev\/zero: cannot read the file: it is a device.*E_FILE/, EXIT.file],
    ["nowhere.csv", /nowhere\.csv: cannot read the file: there is no such file.*E_FILE/, EXIT.file],
    ...(process.platform === "linux"
      ? [["/proc/self/mem", /\/proc\/self\/mem: cannot read the file.*E_FILE/, EXIT.file] as const]
      : []),
  ];
  it.each(cases)("F5: %s as a log and as a document is told in words", async (name, words, exit) => {
    mkdirSync(join(folder, "logs"), { recursive: true });
    rmSync(join(folder, "pipe"), { force: true });
    execFileSync("mkfifo", [join(folder, "pipe")]);
    writeFileSync(join(folder, "refine.yaml"), refine(name));
    const logged = await runIn(folder, ["refine", "refine.yaml"]);
    expect(logged.stderr).toMatch(words);
    expect(logged.code).toBe(exit);
    // A pipe that nobody writes is waited for, and not for ever.
    const read = await runIn(folder, ["plan", name]);
    expect(read.stderr).toContain(`${name}: cannot read the file`);
    expect(read.code).toBe(EXIT.file);
  });

  it("F5: a document through a pipe is read", async () => {
    const text = read("swap.yaml");
    const pipe = join(folder, "document.pipe");
    execFileSync("mkfifo", [pipe]);
    const { spawn } = await import("node:child_process");
    writeFileSync(join(folder, "same.yaml"), text);
    const writer = spawn("sh", ["-c", `sleep 0.2; cat "${join(folder, "same.yaml")}" > "${pipe}"`]);
    const { code, stderr } = await runIn(folder, ["check", "document.pipe"]);
    writer.kill();
    expect(stderr).toBe("");
    expect(code).toBe(EXIT.done);
  });

  it.each(["20 degC .. 20 degC", "150 degC .. 150.1 degC", "20 degC .. 20.0000001 degC"])(
    "F5, F6: the band %s gives a plan, or a fault at its place",
    async (band) => {
      writeFileSync(join(folder, "band.yaml"), read("swap.yaml").replace(/band: .*/, `band: ${band}`));
      const { code, stderr } = await runIn(folder, ["plan", "band.yaml"]);
      expect([EXIT.done, EXIT.input, EXIT.unsafe]).toContain(code);
      if (code === EXIT.input) expect(stderr).toMatch(/^band\.yaml:\d+:\d+: ecu\.temperature: /);
    },
  );
});

describe("F4: sizes", () => {
  const swap = (change: readonly [string, string]): void => {
    expect(read("swap.yaml")).toContain(change[0]);
    writeFileSync(join(folder, "large.yaml"), read("swap.yaml").replace(...change));
  };
  const many = (count: number, line: (i: number) => string): string =>
    Array.from({ length: count }, (_, i) => line(i)).join("");
  it.each([
    ["one anchor", `x: &a {y: 1}\nlist:\n${many(8000, () => "  - *a\n")}`],
    [
      "as many anchors",
      `${many(8000, (i) => `k${i}: &a${i} 1\n`)}list: [${many(8000, (i) => `*a${i}, `)}1]\n`,
    ],
    ["blocks", `x: &a {y: 1}\n${many(8000, (i) => `k${i}: *a\n`)}`],
  ])("F4: 8,000 aliases of %s are a clear error", async (_, text) => {
    writeFileSync(join(folder, "large.yaml"), `bellmouth: swap 1\n${text}`);
    const { code, stderr } = await runIn(folder, ["check", "large.yaml"]);
    expect(stderr).toMatch(/large\.yaml: the document unfolds to too many values.*20000.*E_TOO_LARGE/);
    expect(code).toBe(EXIT.input);
  });
  it("F4: an alias stands for the last anchor of its name above it", async () => {
    writeFileSync(
      join(folder, "large.yaml"),
      `bellmouth: swap 1\na: &x [&y 1, *y]\nb: *x\nc: &x 2\nd: *x\ne: *later\nf: &later 1\ng: &g [*g]\n`,
    );
    const { stderr } = await runIn(folder, ["check", "large.yaml"]);
    expect(stderr).toMatch(/6:4: e: this alias stands for nothing/);
    expect(stderr).toMatch(/8:8: g\[0\]: this alias holds itself/);
    expect(stderr).toMatch(/2 mistakes/);
  });
  it("F4: 30,000 columns and 100,000 rows are a clear error at their place", async () => {
    const columns = many(30_000, (i) => `,c${i}`);
    writeFileSync(
      join(folder, "wide.csv"),
      `signal [Hz],airflow [g/s],time [s]${columns}\n1,2,3${",1".repeat(30_000)}\n`,
    );
    writeFileSync(
      join(folder, "long.csv"),
      `signal [Hz],airflow [g/s]\n${many(100_000, (i) => `${1000 + i / 10},${1 + i / 500}\n`)}`,
    );
    for (const [from, to, words] of [
      ["table: donor-airflow.csv", "table: wide.csv", /wide\.csv:1:\d+: more columns .*30003.*E_TOO_LARGE/],
      ["file: pull.csv", "file: wide.csv", /wide\.csv:1:\d+: more columns .*30003.*E_TOO_LARGE/],
      ["table: donor-airflow.csv", "table: long.csv", /long\.csv:1:1: more rows .*100000 rows.*E_TOO_LARGE/],
      ["axis: { file: ecu-axis.csv }", "axis: { file: long.csv }", /long\.csv:.*E_(?:TOO_LARGE|COLUMN)/],
    ] as const) {
      swap([from, to]);
      const { code, stderr } = await runIn(folder, ["plan", "large.yaml"]);
      expect(stderr).toMatch(words);
      expect(code).toBe(EXIT.input);
    }
  });
  it("F4: a log that many scenarios name is read once", async () => {
    const { swapDocument, readDocument } = await import("bellmouth/document");
    const scenarios = many(
      20,
      (i) => `  - {name: s${i}, log: {file: pull.csv, airflow: airflow, time: time, sustained: 0.5 s}}\n`,
    );
    let opened = 0;
    const result = readDocument(
      [swapDocument],
      read("swap.yaml").replace("scenarios:\n", `scenarios:\n${scenarios}`),
      {
        open: (name) => {
          if (name === "pull.csv") opened++;
          return read(name);
        },
      },
    );
    expect(result.ok).toBe(true);
    expect(opened).toBe(1);
  });
});
