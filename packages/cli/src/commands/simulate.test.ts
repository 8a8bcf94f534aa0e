import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { type Ran, runIn } from "../../../../tests/support/run-in.js";
import { EXIT } from "../index.js";

const document = readFileSync(
  new URL("../../../../examples/simulate/first-drive.yaml", import.meta.url),
  "utf8",
).replace("25 min", "90 s");
let folder = "";
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "simulate-"));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

function ran(text: string, ...options: readonly string[]): Promise<Ran> {
  writeFileSync(join(folder, "drive.yaml"), text);
  return runIn(folder, ["simulate", "drive.yaml", ...options]);
}

describe("simulate", () => {
  it("writes the log, the table it was driven on, and the truth", async () => {
    const { code, stdout } = await ran(document, "--out", "first");
    expect(code).toBe(EXIT.done);
    expect(stdout).toContain("5.0 % rms off the truth");
    expect(readdirSync(join(folder, "first"))).toEqual(
      expect.arrayContaining(["drive.csv", "drive.json", "report.html", "table.csv", "truth.csv"]),
    );
    const log = readFileSync(join(folder, "first", "drive.csv"), "utf8");
    expect(log.split("\n")[0]).toContain("engine speed [rpm]");
    expect(log.trimEnd().split("\n").length).toBeGreaterThan(1700);
  });

  it("drives on a table from a file, as the next pass does", async () => {
    await ran(document, "--out", "again");
    const next = document.replace("planned-error: 5 %", "table: again/table.csv");
    const { code, stdout } = await ran(next);
    expect(code).toBe(EXIT.done);
    expect(stdout).toContain("5.0 % rms off the truth");
  });

  it("gives the same log twice, and its figures as JSON", async () => {
    const [a, b] = [await ran(document, "--json"), await ran(document, "--json")];
    expect(a.stdout).toBe(b.stdout);
    expect(JSON.parse(a.stdout)).toMatchObject({ bellmouth: "drive 1", car: "alder", seed: 17 });
  });

  it("says where a mistake stands", async () => {
    const unknown = await ran(document.replace("car: alder", "car: oak"));
    expect(unknown.code).not.toBe(EXIT.done);
    expect(unknown.stderr).toMatch(/^drive\.yaml:3:6: .*alder, birch/);
    writeFileSync(join(folder, "volts.csv"), "signal [V],airflow [g/s]\n1,2\n4,90\n");
    const volts = await ran(document.replace("planned-error: 5 %", "table: volts.csv"));
    expect(volts.stderr).toMatch(/^drive\.yaml:5:8: .*voltage/);
  });
});
