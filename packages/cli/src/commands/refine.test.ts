import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { type Ran, runIn } from "../../../../tests/support/run-in.js";

const folder = mkdtempSync(join(tmpdir(), "refine-command-"));
const call = (...argv: string[]): Promise<Ran> => runIn(folder, argv);

const simulate = `bellmouth: simulate 1
title: A short drive
car: alder
meter: new
seed: 5
duration: 8 min
roads: [town, motorway, pulls]
trims: closed-loop
planned-error: 5 %
barometer: 98.5 kPa absolute
outside: 15 degC
coolant: 85 degC
log-rate: 20 Hz
`;
const refine = `bellmouth: refine 1
title: First correction
table:
  file: drive/table.csv
  signal: frequency
  uncertainty: 5 %
outside: extend
logs: [drive/drive.csv]
`;

beforeAll(async () => {
  writeFileSync(join(folder, "simulate.yaml"), simulate);
  writeFileSync(join(folder, "refine.yaml"), refine);
  const made = await call("simulate", "simulate.yaml", "--out", "drive");
  if (made.code !== 0) throw new Error(made.stderr);
}, 60_000);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const odd = `${refine}columns:
  time: Zeit [s]
  signal: MAF [Hz]
  lambda: Lambda [1]
`;

/** Place of `driven` in cells.csv. */
const drivenColumn = 11;
const column = (file: string, at: number): number[] =>
  readFileSync(join(folder, file), "utf8")
    .trim()
    .split("\n")
    .slice(1)
    .map((line) => Number(line.split(",")[at]));

describe("bellmouth refine", () => {
  it("brings a simulated table nearer to the truth and writes table, cells, summary and data", async () => {
    const { code, stdout: out, stderr: err } = await call("refine", "refine.yaml", "--out", "pass-1");
    expect(err).toContain("Before you drive");
    expect(code).toBe(0);
    expect(out).toContain("Drive again and refine again");
    const truth = column("drive/truth.csv", 1);
    const driven = column("pass-1/cells.csv", drivenColumn).map((seconds) => seconds > 1);
    const rms = (flows: number[]): number => {
      const off = flows.flatMap((flow, i) => (driven[i] ? [Math.log(flow / (truth[i] as number)) ** 2] : []));
      return Math.sqrt(off.reduce((sum, v) => sum + v, 0) / off.length);
    };
    expect(rms(column("pass-1/airflow-table.csv", 1))).toBeLessThan(rms(column("drive/table.csv", 1)) / 3);
    const cells = readFileSync(join(folder, "pass-1/cells.csv"), "utf8");
    expect(
      cells
        .split("\n")[0]
        ?.split(",")
        .map((head) => head.replace(/ \[.*/, "")),
    ).toEqual(
      "signal,before,after,mean,low,high,shape low,shape high,u,u before,executed,driven,held by,flags".split(
        ",",
      ),
    );
    const [low, shapeLow, mean, shapeHigh, high] = [4, 6, 3, 7, 5].map((at) =>
      column("pass-1/cells.csv", at),
    );
    mean?.forEach((flow, i) => {
      const inOrder = [low?.[i], shapeLow?.[i], flow, shapeHigh?.[i], high?.[i]].map(Number);
      expect(inOrder).toEqual(inOrder.toSorted((a, b) => a - b));
    });
    expect(readFileSync(join(folder, "pass-1/summary.md"), "utf8")).toContain("## What to drive next");
  });

  it("goes on from an earlier pass with what that one knew", async () => {
    writeFileSync(
      join(folder, "second.yaml"),
      refine
        .replace(/table:\n(?: {2}.*\n)+/u, "table:\n  refined: pass-1/refine.json\n")
        .replace("First", "Second"),
    );
    const { code, stdout: out, stderr: err } = await call("refine", "second.yaml", "--json");
    // The old log was made with the old table: its airflow gives it away.
    expect([code, err]).toEqual([4, expect.any(String)]);
    expect(JSON.parse(out).refinement.findings[0].text).toContain("another table");
  });

  it("says where a log is missing, and what columns it cannot tell", async () => {
    writeFileSync(join(folder, "missing.yaml"), refine.replace("drive/drive.csv", "nowhere.csv"));
    const missing = await call("refine", "missing.yaml");
    expect(missing.code).not.toBe(0);
    expect(missing.stderr).toMatch(/nowhere\.csv.*there is no such file.*E_FILE/);
    writeFileSync(join(folder, "odd.csv"), "a,b,c\n1,2,3\n2,3,4\n3,4,5\n");
    writeFileSync(join(folder, "odd.yaml"), refine.replace("drive/drive.csv", "odd.csv"));
    const odd = await call("refine", "odd.yaml");
    expect(odd.stderr).toMatch(/odd\.csv.*E_COLUMN/);
  });

  it("asks for columns in the document's own words, and names the log", async () => {
    const log = readFileSync(join(folder, "drive/drive.csv"), "utf8");
    writeFileSync(join(folder, "nameless.csv"), log.replace(/ \[[^\]]*\]/gu, ""));
    writeFileSync(join(folder, "nameless.yaml"), refine.replace("drive/drive.csv", "nameless.csv"));
    const doubt = await call("refine", "nameless.yaml");
    expect(doubt.code).toBe(1);
    expect(doubt.stderr).toMatch(/^nameless\.csv: \d questions about the columns of this file/);
    expect(doubt.stderr).toContain("airflow: { column: airflow, unit: g/s }");
    expect(doubt.stderr).toContain("columns: service-data units");
    // The same as data, and the signal's unit is all that service data do not answer.
    const json = JSON.parse((await call("refine", "nameless.yaml", "--json")).stdout);
    expect(json.faults[0].questions.map((one: { about: string }) => one.about)).toContain("airflow");
    const answered = `${readFileSync(join(folder, "nameless.yaml"), "utf8")}columns:\n  units: service-data\n  signal: { column: signal, unit: Hz }\n`;
    writeFileSync(join(folder, "nameless.yaml"), answered);
    const told = await call("refine", "nameless.yaml", "--json");
    expect(told.code).toBe(0);
    expect(JSON.parse(told.stdout).logs[0].questions).toEqual([]);

    writeFileSync(join(folder, "odd.yaml"), odd);
    const missing = await call("refine", "odd.yaml");
    expect(missing.code).toBe(1);
    expect(missing.stderr).toMatch(
      /^drive\/drive\.csv: columns\.time: the file has no such column \(found "Zeit"/,
    );

    writeFileSync(join(folder, "odd.yaml"), odd.replace("MAF [Hz]", "MAF [g/s]").replace("[1]", "[AFR]"));
    const unit = await call("refine", "odd.yaml");
    expect(unit.code).toBe(1);
    expect(unit.stderr).toMatch(
      /^odd\.yaml:11:11: columns\.signal: not a unit that a log has this column in/m,
    );
    expect(unit.stderr).toMatch(
      /^odd\.yaml:12:11: columns\.lambda: an air-fuel ratio is lambda only with its scale/m,
    );
  });

  it("says what a drive with the old meter puts on the fuel's side, and leaves it out of the table", async () => {
    const faulty = `${simulate}faults: { injectors: 96 % }\n`;
    writeFileSync(
      join(folder, "before.yaml"),
      faulty.replace("meter: new", "meter: present").replace("planned-error: 5 %\n", ""),
    );
    writeFileSync(join(folder, "after.yaml"), faulty.replace("seed: 5", "seed: 6"));
    expect((await call("simulate", "before.yaml", "--out", "before")).code).toBe(0);
    expect((await call("simulate", "after.yaml", "--out", "after")).code).toBe(0);
    const old =
      "present-meter: { table: before/table.csv, signal: frequency, uncertainty: 1 %, logs: [before/drive.csv] }\n";
    writeFileSync(join(folder, "both.yaml"), `${refine.replaceAll("drive/", "after/")}${old}`);
    const { code, stdout: out } = await call("refine", "both.yaml", "--out", "both");
    expect(code).toBe(0);
    const told =
      /old meter put [\d.]+ % \(95 %: ([\d.]+) % to ([\d.]+) %\) of the correction on the fuel's side/.exec(
        out,
      );
    // Injectors that give 96 % ask for 1/0.96 of the fuel: 4.17 %.
    expect(Number(told?.[1])).toBeLessThan(4.17);
    expect(Number(told?.[2])).toBeGreaterThan(4.17);
    const truth = column("after/truth.csv", 1);
    const driven = column("both/cells.csv", drivenColumn);
    const off = column("both/airflow-table.csv", 1).flatMap((flow, i) =>
      (driven[i] as number) > 10 ? [flow / (truth[i] as number) - 1] : [],
    );
    expect(off.length).toBeGreaterThan(5);
    // The old table is said to be known to 1 %; 95 % of that is what may stay.
    for (const error of off) expect(Math.abs(error)).toBeLessThan(0.0196);
  }, 60_000);
});
