// The volumetric efficiency that a pull shows, as base of an engine scenario, through a whole document.
import { readFileSync } from "node:fs";
import { requireDocument, swapDocument } from "bellmouth/document";
import { planSwap } from "bellmouth/stage";
import { describe, expect, it } from "vitest";

const folder = new URL("../../examples/demo/", import.meta.url);
const read = (name: string): string => readFileSync(new URL(name, folder), "utf8");
const demo = read("swap.yaml");

// Invented: 2.2 L at 98 kPa and 27 degC filled to 92 % at every speed from 4000 to 7500 rpm.
const rows = Array.from({ length: 71 }, (_, i) => {
  const turns = 4000 + 50 * i;
  const flow = 0.92 * (98_000 / (287.05287 * 300.15)) * 2.2e-3 * (turns / 120);
  return `${(i / 20).toFixed(2)},${turns},${(1000 * flow).toFixed(4)},98,27`;
});
const log = `time [s],engine speed [rpm],airflow [g/s],manifold absolute pressure [kPa],intake air [degC]\n${rows.join("\n")}\n`;

const withEfficiency = (keys: string): string =>
  demo.replace("volumetric-efficiency: 102 % ± 3 %", `volumetric-efficiency: { ${keys} }`);
const planOf = (text: string, own = log) =>
  planSwap(
    requireDocument([swapDocument], text, {
      file: "swap.yaml",
      open: (name) => (name === "own.csv" ? own : read(name)),
    }).document,
  );

describe("volumetric efficiency from a pull", () => {
  it("with the gain on top, by hand: 92 % x 1.08 in 2.2 L at 7200 rpm, dry air of 103 kPa and -15 degC", () => {
    const plan = planOf(withEfficiency("from-pull: own.csv, density: 1.5 %, gain: 8 % ± 2 %"));
    const cams = plan.headroom.scenarios[2];
    const filled = (103_000 / (287.05287 * 258.15)) * 2.2e-3 * 60;
    expect((cams?.demand ?? 0) / (0.92 * 1.08 * filled)).toBeCloseTo(1, 3);
    // The present table's 2 %, the density's 1.5 %, the gain's 2 of 108.
    expect(cams?.u).toBeCloseTo(Math.hypot(0.02, 0.015, 0.02 / 1.08), 3);
    expect(cams?.how).toMatch(/92\.0 % ± 2\.3 % by \d+ samples near full load in own\.csv, 8\.00 % added/u);
  });
  it("the table that the log was read through may be another", () => {
    const plan = planOf(withEfficiency("from-pull: own.csv, density: 1.5 %, accuracy: 0.8 %"));
    expect(plan.headroom.scenarios[2]?.u).toBeCloseTo(Math.hypot(0.008, 0.015), 3);
  });
  it("a boosted pull needs a manifold pressure of the demand", () => {
    const boosted = log.replaceAll(",98,27", ",160,27");
    const from = "from-pull: own.csv, density: 1.5 %";
    expect(() => planOf(withEfficiency(from), boosted)).toThrow(/boosted.*160 kPa/su);
    const stated = withEfficiency(from).replace(
      "speed: 7200 rpm,",
      "speed: 7200 rpm, manifold-pressure: 160 kPa absolute,",
    );
    expect(planOf(stated, boosted).headroom.scenarios[2]?.demand).toBeGreaterThan(0.1);
  });
  it("a speed outside the pull, a log without manifold pressure and an unstated density are refused by name", () => {
    const short = `${log.split("\n").slice(0, 40).join("\n")}\n`;
    const from = "from-pull: own.csv, density: 1.5 %";
    expect(() => planOf(withEfficiency(from), short)).toThrow(/7200 rpm.*4000 rpm to 5900 rpm/su);
    const bare = log
      .replaceAll(/,98,27$/gmu, "")
      .replace(",manifold absolute pressure [kPa],intake air [degC]", "");
    expect(() => planOf(withEfficiency(from), bare)).toThrow(/manifold pressure, intake air/u);
    expect(() => planOf(withEfficiency("from-pull: own.csv"))).toThrow(/density/u);
  });
});
