import { describe, expect, it } from "vitest";
import { trialFiles } from "../../account/index.js";
import { documentSchema, readDocument, trialDocument } from "../../document/index.js";
import { detectableShift, effectVariance } from "../../intake/index.js";
import { compareTrial } from "./index.js";

const runText = (id: string, side: string, at: string): string =>
  `  - { id: ${id}, side: ${side}, at: "${at}", air: { temperature: 20 degC, pressure: 99 kPa absolute }, course: dyno, log: ${id}.csv }\n`;
const head = `bellmouth: trial 1
title: Housing, back to back
points: [4500 rpm, 5000 rpm, 5500 rpm]
power: 80 %
columns: { speed: rpm, pressure: MAP, temperature: IAT, throttle: TPS }
pressure-reads: absolute
full-throttle: 95 %
units: { show: Pa }
worth: { power: 120 kW ± 3 kW, speed: 5500 rpm, charge-temperature: 35 degC ± 2 K }
`;
const runs = ["10:00 before", "10:10 after", "10:20 after", "10:30 before"].map((words, i) => {
  const [at = "", side = ""] = words.split(" ");
  return runText(`r${i}`, side, at);
});
const text = `${head}runs:\n${runs.join("")}`;

/** A log with a cruise before the pull and a lift after it. */
function log(name: string, pressureUnit = "kPa"): string {
  const i = Number(name.slice(1, 2));
  const after = i === 1 || i === 2;
  const lines = [`rpm [rpm],MAP [${pressureUnit}],IAT [degC],TPS [%]`, "4600,60,40,20", "4620,61,40,22"];
  for (let n = 4000; n <= 6000; n += 40) {
    const drop = (after ? 3.2 : 3.9) * (n / 6000) ** 2 + 0.02 * Math.sin(n + 7 * i);
    lines.push(`${n},${99 - drop},${after ? 30 : 32.1 + 0.2 * i},100`);
  }
  lines.push("5400,30,35,0");
  return lines.join("\n");
}

const read = (source: string, open: (name: string) => string = (name) => log(name)) =>
  readDocument([trialDocument], source, { file: "t.yaml", open });
function built(source: string, open?: (name: string) => string) {
  const result = read(source, open);
  if (!result.ok) throw new Error(result.faults.map((fault) => fault.message).join("\n"));
  return result.document;
}
const fault = (source: string, open?: (name: string) => string) => {
  const result = read(source, open);
  return result.ok ? undefined : result.faults[0];
};

describe("the trial document", () => {
  it("becomes runs in SI, cut to full throttle", () => {
    const document = built(text);
    expect(document.runs.length).toBe(4);
    expect(document.runs[1]?.at).toBe(36_600);
    expect(document.runs[0]?.samples.speed.length).toBe(51);
    expect(Math.min(...(document.runs[0]?.samples.pressure ?? []))).toBeGreaterThan(94_000);
    expect(document.compare.map((one) => one.quantity)).toEqual(["pressure", "temperature"]);
  });
  it("gives verdict, gain and files", () => {
    const outcome = compareTrial(built(text));
    expect(outcome.pressure?.claim).toBe("rise");
    expect(outcome.pressure?.points[2]?.effect).toBeCloseTo(700 * (5500 / 6000) ** 2, -1);
    expect(outcome.temperature?.claim).toBe("fall");
    expect(outcome.gain?.gain.value as number).toBeGreaterThan(500);
    expect(JSON.parse(JSON.stringify(outcome))).toEqual(outcome);
    const files = Object.fromEntries(trialFiles(outcome).map((file) => [file.name, file.text]));
    expect(Object.keys(files)).toEqual(["summary.md", "trial.json", "pressure.csv", "temperature.csv"]);
    expect(files["summary.md"]).toContain("## Before you drive");
    expect(files["summary.md"]).not.toMatch(/NaN|undefined/);
    expect(files["pressure.csv"]).toMatch(/^speed \[rpm\],before \[Pa\],change \[Pa\]/);
  });
  it("says plainly what a single pair cannot know", () => {
    const pair = compareTrial(built(`${head}runs:\n${runs.slice(0, 2).join("")}`));
    expect(pair.verdict.sentence).toMatch(/nothing here judges that number/);
    expect(pair.verdict.findings.map((one) => one.code)).toEqual([
      "single-pair",
      "no-interval",
      "power-without-interval",
    ]);
    expect(pair.gain?.gain.from).toBeNull();
    expect(pair.gain?.unjudged).toContain("rise");
    const stated = compareTrial(
      built(
        `${head}repeatability: { pressure: { sd: 40 Pa, point-sd: 45 Pa } }\nruns:\n${runs.slice(0, 2).join("")}`,
      ),
    );
    expect(stated.pressure?.source).toBe("stated");
    expect(stated.gain).not.toBeNull();
  });
  it("N10: the single pair is advised as many runs as begin to tell", () => {
    const pair = compareTrial(built(`${head}runs:\n${runs.slice(0, 2).join("")}`));
    const { text: advice = "" } = pair.verdict.findings.find(({ code }) => code === "single-pair") ?? {};
    expect(advice).toMatch(/^One run a side.*Four more runs, in all /);
    const order = (/in all ((?:(?:before|after)(?:, )?)+)/u.exec(advice)?.[1] ?? "")
      .split(", ")
      .filter((side) => side !== "")
      .map((side): "before" | "after" => (side === "before" ? "before" : "after"));
    expect(order.length).toBe(6);
    expect(order.slice(0, 2)).toEqual(["before", "after"]);
    // Seen in four of five trials, in standard deviations of a run, where a straight drift must be found as well.
    const seen = (runsOfTrial: typeof order): number =>
      detectableShift(0.8, runsOfTrial.length - 3, 0.95) * Math.sqrt(effectVariance(runsOfTrial, "linear"));
    expect(seen(order.slice(0, 4))).toBeGreaterThan(15);
    expect(seen(order)).toBeLessThan(5);
  });
  it("V7: a temperature that was not shown is not counted in the power, and widens its interval", () => {
    const noisy = [32, 31, 33.5, 31.8];
    const made = (temperatures: readonly number[]) =>
      compareTrial(
        built(text, (name) =>
          log(name).replace(
            /^(\d+,[\d.]+),[\d.]+,100$/gm,
            (_, rest) => `${rest},${temperatures[Number(name.slice(1, 2))]},100`,
          ),
        ),
      );
    const unsure = made(noisy);
    const still = made([32, 32.01, 31.99, 32]);
    expect(unsure.temperature?.claim).toBe("none");
    expect(Math.abs(unsure.temperature?.pooled.effect ?? 0)).toBeGreaterThan(0.3);
    expect(unsure.gain?.parts.temperature).toBe(0);
    expect(unsure.gain?.gain.value).toBeCloseTo(still.gain?.gain.value as number, 9);
    expect(unsure.verdict.findings.map(({ code }) => code)).toContain("power-temperature-not-shown");
    const width = ({ gain }: typeof unsure): number => (gain?.gain.to ?? 0) - (gain?.gain.from ?? 0);
    expect(width(unsure)).toBeGreaterThan(1.2 * width(still));
  });
  it("V7: what the order of the runs cannot tell from heat soak gives the power no interval", () => {
    const sides = ["before", "before", "after", "after"];
    const blocks = sides.map((side, i) => runText(`r${[0, 3, 1, 2][i]}`, side, `10:${i}0`));
    const outcome = compareTrial(built(`${head}runs:\n${blocks.join("")}`));
    expect(outcome.pressure?.claim).toBe("cannot tell");
    expect(outcome.gain?.unjudged).toEqual(["rise", "temperatureRise"]);
    expect([outcome.gain?.gain.from, outcome.gain?.gain.to]).toEqual([null, null]);
  });
  it("takes values read off a gauge", () => {
    const typed = (id: string, side: string, at: string, kpa: number): string =>
      `  - id: ${id}\n    side: ${side}\n    at: "${at}"\n    air: { temperature: 20 degC, pressure: 99 kPa absolute }\n    values:\n      - { speed: 5000 rpm, pressure: ${kpa} kPa absolute }\n      - { speed: 5500 rpm, pressure: ${kpa - 0.5} kPa absolute }\n`;
    const source = `bellmouth: trial 1\ntitle: typed\npoints: [5000 rpm, 5500 rpm]\npower: 80 %\nruns:\n${typed("a", "before", "9:00", 96.1)}${typed("b", "after", "9:10", 96.7)}${typed("c", "after", "9:20", 96.75)}${typed("d", "before", "9:30", 96.05)}`;
    const outcome = compareTrial(built(source));
    expect(outcome.pressure?.pooled.effect).toBeCloseTo(650, 6);
    expect(outcome.temperature).toBeNull();
  });
  it("reads gauge and depression columns against the run's barometer", () => {
    const gauge = (name: string): string =>
      log(name).replaceAll(/^(\d+),([\d.]+)/gm, (_, n, p) => `${n},${Number(p) - 99}`);
    const document = built(text.replace("pressure-reads: absolute", "pressure-reads: gauge"), gauge);
    expect(document.runs[0]?.samples.pressure?.[10]).toBeCloseTo(
      built(text).runs[0]?.samples.pressure?.[10] as number,
      6,
    );
    expect(
      built(text.replace("pressure-reads: absolute\n", ""), (name) => log(name, "kPa absolute")).runs.length,
    ).toBe(4);
  });
  it.each([
    ["a throttle column without a limit", text.replace("full-throttle: 95 %\n", ""), "E_SCHEMA"],
    ["no such time", text.replace("10:10", "25:10"), "E_DOMAIN"],
    ["a date on one run only", text.replace("10:10", "2026-05-02 10:10"), "E_DOMAIN"],
    ["no such day", text.replaceAll(/"(10:\d\d)"/g, '"2026-02-30 $1"'), "E_DOMAIN"],
    ["no power", text.replace("power: 80 %\n", ""), "E_SCHEMA"],
    ["a power without a unit", text.replace("power: 80 %", "power: 80"), "E_UNIT"],
    ["a side that is none", text.replace("side: after", "side: later"), "E_SCHEMA"],
    ["points without a unit", text.replace("4500 rpm", "4500"), "E_UNIT"],
    ["a column that the logs do not have", text.replace("pressure: MAP", "pressure: BOOST"), "E_COLUMN"],
  ])("refuses %s, saying where", (_, source, code) => {
    const found = fault(source);
    expect(found?.code).toBe(code);
    expect(found?.at?.line).toBeGreaterThan(0);
  });
  it("R1, S5: reads a run's log as every log is read, by its header where that leaves no doubt", () => {
    const plain = text.replace(/columns: .*\n/, "").replace("pressure-reads: absolute\n", "");
    expect(built(plain).runs).toEqual(built(text).runs);
    expect(built(plain).logs[0]?.columns.map(({ use, channel }) => [use, channel])).toEqual([
      ["used", "engineSpeed"],
      ["used", "manifoldPressure"],
      ["used", "intakeAir"],
      ["used", "throttle"],
    ]);
    // "Pressure" in psi at full throttle may be measured from anything, and "Throttle" without a unit is no ratio unasked.
    const asked = fault(plain, (name) => log(name, "bar").replace("MAP", "Boost"));
    expect(asked?.questions?.[0]).toMatchObject({ kind: "reference", about: "manifoldPressure" });
    const bare = built(plain, (name) => log(name).replace("TPS [%]", "Throttle"));
    expect(bare.runs).toEqual(built(text).runs);
    const units = text.replace(
      /columns: .*\n/,
      "columns: { manifold-pressure: { column: Manifold Pressure, reads: gauge } }\n",
    );
    expect(
      built(units.replace("pressure-reads: absolute\n", ""), (name) =>
        log(name).replace("MAP", "Manifold Pressure"),
      ).runs.length,
    ).toBe(4);
  });
  it("refuses a log without a full-throttle row", () => {
    const found = fault(text, (name) => log(name).replaceAll(",100\n", ",60\n").replace(/,100$/m, ",60"));
    expect(found?.code).toBe("E_TOO_LITTLE_DATA");
    expect(found?.message).toMatch(/at full throttle/);
  });
  it("has a JSON Schema that names every key", () => {
    const schema = JSON.stringify(documentSchema(trialDocument));
    for (const key of ["pressure-reads", "full-throttle", "point-sd", "charge-temperature", "wanted"])
      expect(schema).toContain(`"${key}"`);
  });
});
