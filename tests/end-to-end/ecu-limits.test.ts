// Demands against what the ECU holds besides its tables, on the demo's documents with limits added.
import { readFileSync } from "node:fs";
import { BellmouthError } from "bellmouth";
import { planAccount, planFiles, toText } from "bellmouth/account";
import { requireDocument, swapDocument } from "bellmouth/document";
import { planSwap } from "bellmouth/stage";
import { describe, expect, it } from "vitest";

const folder = new URL("../../examples/demo/", import.meta.url);
const read = (name: string): string => readFileSync(new URL(name, folder), "utf8");
const demo = read("swap.yaml");

/** The demo with limits, its engine's cylinders, and a rich bias. */
const withLimits = (limits: string, { cylinders = true, bias = 0 } = {}): string =>
  demo
    .replace("\ntemperature-element:", `\n  limits: ${limits}\ntemperature-element:`)
    .replace("  strokes: 4\n", cylinders ? "  strokes: 4\n  cylinders: 4\n" : "  strokes: 4\n")
    .replace(/rich-bias: [\d.]+/u, `rich-bias: ${bias}`);
const planOf = (text: string) =>
  planSwap(requireDocument([swapDocument], text, { file: "swap.yaml", open: read }).document);
const limitsOf = (text: string) => {
  const { ecuLimits } = planOf(text);
  if (ecuLimits === null) throw new Error("limits");
  return ecuLimits;
};
const codes = (text: string): string[] => planOf(text).verdict.findings.map(({ code }) => code);

// 'cams, coldest day' by hand: 102 % of 2.2 L in four cylinders, dry air of 103 kPa and -15 degC, 7200 rpm.
const density = 103_000 / (287.05 * 258.15);
const camsAir = (1.02 * density * 2.2e-3) / 4;
const camsFlow = (camsAir * 4 * (7200 / 60)) / 2;

describe("limits of the ECU", () => {
  it("air per cylinder is volumetric efficiency times a cylinder's density and volume, whatever the speed", () => {
    const [pull, , cams] = limitsOf(withLimits("{ cylinder-air: 900 mg }")).scenarios;
    expect((cams?.cylinderAir?.value ?? 0) / camsAir).toBeCloseTo(1, 3);
    expect((cams?.reads ?? 0) / camsFlow).toBeCloseTo(1, 2);
    expect(pull?.cylinderAir).toBeNull();
    expect(pull?.cylinderAirUnknown).toMatch(/engine speed/u);
    expect(codes(withLimits("{ cylinder-air: 900 mg }"))).toContain("load-axis-not-told");
    const untold = limitsOf(withLimits("{ cylinder-air: 900 mg }", { cylinders: false })).scenarios[2];
    expect(untold?.cylinderAirUnknown).toMatch(/cylinders/u);
  });
  it("a limit at the demand is met with a chance of one half, one two standard uncertainties above it with 2.3 %", () => {
    const [, , at] = limitsOf(withLimits("{ airflow: 1 kg/s, cylinder-air: 900 mg }")).scenarios;
    const [reads, air, u] = [at?.reads ?? 0, at?.cylinderAir?.reads ?? 0, at?.u ?? 0];
    // The demand's own: 3 of 102; the curve's is joined to it.
    expect(u).toBeGreaterThan(0.03 / 1.02);
    const limits = (factor: number): string =>
      `{ airflow: ${1000 * reads * factor} g/s, cylinder-air: ${1e6 * air * factor} mg }`;
    const [, , half] = limitsOf(withLimits(limits(1))).scenarios;
    expect(half?.chanceAirflow).toBeCloseTo(0.5, 3);
    expect(half?.cylinderAir?.chance).toBeCloseTo(0.5, 3);
    // The curve is a little less certain further up.
    const [, , two] = limitsOf(withLimits(limits(Math.exp(2 * u)))).scenarios;
    expect(two?.chanceAirflow).toBeGreaterThan(0.02);
    expect(two?.chanceAirflow).toBeLessThan(0.03);
  });
  it("past the airflow field one factor is named that leaves 2 %, with what else it touches", () => {
    const plan = planOf(withLimits("{ airflow: 180 g/s }"));
    const found = plan.verdict.findings.filter(({ code }) => code === "airflow-field");
    expect(found[0]?.level).toBe("caution");
    expect(found[0]?.text).toMatch(/180(?:\.0)? g\/s/u);
    expect(plan.verdict.level).toBe("decision needed");
    const { scale, scenarios } = plan.ecuLimits ?? {};
    const worst = scenarios?.[2];
    // 2.0537 standard uncertainties leave 2 % (table of the normal distribution).
    expect(((worst?.reads ?? 0) * (scale ?? 0) * Math.exp(2.0537 * (worst?.u ?? 0))) / 0.18).toBeCloseTo(
      1,
      4,
    );
    const together = plan.verdict.findings.find(({ code }) => code === "scale-together")?.text;
    expect(together).toMatch(/airflow table.*injectors.*load axis.*torque/su);
    expect(limitsOf(withLimits("{ airflow: 2 kg/s }")).scale).toBeNull();
  });
  it("the rich bias moves the load axis by cells of the axis given", () => {
    const axis = "{ cylinder-air: [200 mg, 400 mg, 600 mg, 700 mg, 750 mg, 800 mg, 850 mg, 900 mg] }";
    const [none, biased] = [limitsOf(withLimits(axis)), limitsOf(withLimits(axis, { bias: 2 }))];
    const [bare, moved] = [none.scenarios[2]?.cylinderAir, biased.scenarios[2]?.cylinderAir];
    expect(Math.abs(bare?.cells ?? 9)).toBeLessThan(0.1);
    expect(moved?.cells).toBeGreaterThan(0.2);
    const cell = ((moved?.reads ?? 0) - (moved?.value ?? 0)) / 50e-6;
    expect(moved?.cells).toBeCloseTo(cell, 6);
    expect(codes(withLimits(axis, { bias: 2 }))).toContain("load-axis-shift");
  });
  it("fault thresholds: high by a demand, low by idle", () => {
    const plan = planOf(withLimits("{ signal-rationality: { low: 2.6 kHz, high: 9 kHz } }"));
    const found = plan.verdict.findings.map(({ code }) => code);
    expect(found).toContain("signal-fault-high");
    expect(found).toContain("idle-fault-low");
    const wide = withLimits("{ signal-rationality: { low: 100 Hz, high: 14 kHz } }");
    expect(codes(wide)).not.toContain("signal-fault-high");
    expect(codes(wide)).not.toContain("idle-fault-low");
    const noIdle = wide.replace(/\nidle:\n {2}airflow.*\n/u, "\n").replace(/ {4}idle-signal.*\n/u, "");
    expect(codes(noIdle)).toContain("idle-fault-not-told");
  });
  it("is in the text and in a table of its own, and nowhere without limits", () => {
    const plan = planOf(withLimits("{ airflow: 180 g/s, cylinder-air: 900 mg }"));
    expect(toText(planAccount(plan))).toContain("Demands and the ECU's limits");
    expect(planFiles(plan).map(({ name }) => name)).toContain("ecu-limits.csv");
    const bare = planOf(demo);
    expect(bare.ecuLimits).toBeNull();
    expect(planFiles(bare).map(({ name }) => name)).not.toContain("ecu-limits.csv");
  });
  it("is read strictly", () => {
    const refused = (limits: string): string => {
      try {
        planOf(withLimits(limits));
      } catch (error) {
        if (error instanceof BellmouthError) return error.message;
        throw error;
      }
      return "";
    };
    expect(refused("{ airflow: 200 mg }")).toMatch(/E_UNIT/u);
    expect(refused("{ cylinder-air: [400 mg, 300 mg] }")).toMatch(/rise strictly/u);
    expect(refused("{ signal-rationality: { high: 4.9 V } }")).toMatch(/E_SIGNAL_KIND/u);
    expect(refused("{ signal-rationality: { low: 9 kHz, high: 1 kHz } }")).toMatch(/'high' must lie above/u);
    expect(refused("{ signal-rationality: {} }")).toMatch(/neither threshold/u);
    expect(refused("{ torque: 1 }")).toMatch(/torque/u);
  });
});
