// The plan of a swap as a user meets it: a document and tables in, a verdict and tables out.
import { readFileSync } from "node:fs";
import { planAccount, planFiles, toMarkdown } from "bellmouth/account";
import { readAirflowTable, requireDocument, swapDocument } from "bellmouth/document";
import { type PlanResult, planSwap } from "bellmouth/stage";
import { describe, expect, it } from "vitest";

const folder = new URL("../../examples/demo/", import.meta.url);
const file = (name: string): string => readFileSync(new URL(name, folder), "utf8");
const demo = file("swap.yaml");

/** The demo with changes to its document and its tables. */
function plan(
  change: (text: string) => string = (text) => text,
  files: Readonly<Record<string, string>> = {},
): PlanResult {
  const text = change(demo);
  const open = (name: string): string => files[name] ?? file(name);
  return planSwap(requireDocument([swapDocument], text, { file: "swap.yaml", open }).document);
}

/** Replaces text that must be there, so that a changed demo cannot turn a test into a test of nothing. */
const swap =
  (...pairs: readonly (readonly [string | RegExp, string])[]) =>
  (text: string): string =>
    pairs.reduce((before, [from, to]) => {
      const after = before.replace(from, to);
      if (after === before) throw new Error(`the demo has no ${String(from)}`);
      return after;
    }, text);

const sameElement = swap(
  [/ {2}source: donor\n/, "  source: same-element\n"],
  [/ {2}donor:\n[\s\S]*?\n\nair:/, "\nair:"],
);

describe("the demo's plan", () => {
  const result = plan();
  const { cells } = result.airflow;

  it("gives every cell a value, an origin and an uncertainty, rising in signal and flow", () => {
    expect(cells).toHaveLength(32);
    cells.forEach((cell, i) => {
      const left = cells[i - 1];
      expect(cell.u).toBeGreaterThan(0);
      expect(cell.u).toBeLessThan(0.5);
      expect(cell.flow).toBeGreaterThan(left?.flow ?? 0);
      expect(cell.signal).toBeGreaterThan(left?.signal ?? 0);
    });
  });

  it("flags exactly the cells past the donor's own table as extrapolated", () => {
    const first = 1800;
    const last = 10_200;
    for (const cell of cells) {
      const past = cell.signal < first || cell.signal > last;
      expect(cell.flags.includes("extrapolated"), `${cell.signal} Hz`).toBe(past);
      expect(cell.origin === "extrapolated").toBe(past);
    }
  });

  it("S15: raises high-flow cells by one standard uncertainty, as the document asks, blends that in, and says so", () => {
    const biased = cells.filter((cell) => cell.flags.includes("biased rich"));
    const whole = biased.filter((cell) => cell.wanted >= 0.06);
    expect(whole.length).toBeGreaterThan(5);
    // Below the flow from which it is whole the bias grows from half of that flow on: no step.
    const part = biased.filter((cell) => cell.wanted < 0.06);
    expect(part.length).toBeGreaterThan(1);
    expect(Math.min(...part.map((cell) => cell.wanted))).toBeGreaterThanOrEqual(0.03);
    let before = 0;
    for (const cell of part) {
      const share = (cell.flow / cell.wanted - 1) / cell.u;
      expect(share).toBeGreaterThan(before - 0.15);
      expect(share).toBeLessThan(1.1);
      before = share;
    }
    for (const cell of whole) {
      // Fitting and rounding move a breakpoint a little.
      expect(Math.abs(cell.flow / cell.wanted / (1 + cell.u) - 1)).toBeLessThan(0.004);
    }
  });

  it("shows the larger bore further from its maximum for every scenario", () => {
    expect(result.headroom.scenarios).toHaveLength(3);
    for (const scenario of result.headroom.scenarios) {
      expect(scenario.before).not.toBeNull();
      expect(scenario.share).toBeLessThan(scenario.before?.share ?? 0);
    }
  });

  it("writes tables that read back as the plan's own numbers", () => {
    const table = planFiles(result).find(({ name }) => name === "airflow-table.csv");
    const read = readAirflowTable(table?.text ?? "", "frequency");
    expect(read.signal).toEqual(cells.map((cell) => cell.signal));
    read.flow.forEach((flow, i) => {
      expect(Math.abs(flow / (cells[i]?.flow ?? 0) - 1)).toBeLessThan(1e-12);
    });
  });

  it("is plain JSON, and says its verdict first in words", () => {
    expect(JSON.parse(JSON.stringify(result))).toEqual(result);
    const words = toMarkdown(planAccount(result));
    expect(words.indexOf(result.verdict.sentence.slice(0, 20))).toBeLessThan(200);
    for (const caution of result.cautions) expect(words).toContain(caution);
    expect(words).not.toMatch(/NaN|undefined|null|Infinity/);
  });

  it("is the same the second time", () => {
    expect(plan()).toEqual(result);
  });
});

describe("other swaps", () => {
  it("moves the present element to the new housing by area and profile", () => {
    const result = plan(sameElement);
    expect(result.airflow.source.kind).toBe("same element");
    const open = (bore: number, probe: number): number => (Math.PI * bore * bore) / 4 - probe;
    expect(result.airflow.areaRatio).toBeCloseTo(open(86, 320) / open(74, 310), 12);
    // Both inlets are short and alike: at high flow the profile changes the plain ratio by less than 1 %.
    const top = result.airflow.cells[result.airflow.cells.length - 1];
    expect(Math.abs((top?.overAreaOnly ?? 0) - 1)).toBeLessThan(0.01);
  });

  it("leaves a donor's table alone where it already holds for the new housing", () => {
    const whole = swap(
      [/ {4}housing:\n {6}bore: 80 mm[\s\S]*?\n\nair:/, "    housing: new\n\nair:"],
      ["rich-bias: 1", "rich-bias: 0"],
    );
    const result = plan(whole);
    expect(result.airflow.areaRatio).toBe(1);
    const donor = readAirflowTable(file("donor-airflow.csv"), "frequency");
    for (const cell of result.airflow.cells) {
      const k = donor.signal.indexOf(cell.signal);
      if (k >= 0) expect(cell.wanted).toBe(donor.flow[k]);
    }
  });

  it("takes a voltage sensor in place of a frequency sensor", () => {
    const volts = swap(
      [/( {2}donor:\n) {4}signal: frequency/, "$1    signal: voltage"],
      ["range: 1 kHz .. 12 kHz", "range: 0.2 V .. 4.9 V"],
      ["axis: { file: ecu-axis.csv }", "axis: { from: 1 V, to: 4.8 V, count: 24 }"],
      ["capture: { from: 30 Hz, to: 12 kHz, tick: 1 us }", "capture: { from: 0 V, to: 5 V, bits: 10 }"],
      ["idle-signal: 2.2 kHz", "idle-signal: 1.1 V"],
    );
    const table = `signal [V],airflow [kg/h]\n${Array.from({ length: 20 }, (_, i) => {
      const v = 1 + (i * 3.6) / 19;
      // An invented element that follows King's law.
      return `${v.toFixed(3)},${(((v * v - 0.8) / 1.1) ** (1 / 0.48)).toFixed(3)}`;
    }).join("\n")}\n`;
    const result = plan(volts, { "donor-airflow.csv": table });
    expect(result.signal).toBe("voltage");
    expect(result.airflow.cells).toHaveLength(24);
    expect(result.airflow.cells[23]?.flags).toContain("extrapolated");
    expect(result.headroom.idle?.signal).toBeLessThan(5);
  });

  it("gives an axis that starts at zero cells that rise from zero and are as uncertain as they look", () => {
    const result = plan(
      swap(["axis: { file: ecu-axis.csv }", "axis: { from: 0 Hz, to: 12 kHz, count: 25 }"]),
    );
    const [first, second] = result.airflow.cells;
    expect(first?.flow).toBeGreaterThanOrEqual(0);
    expect(second?.flow).toBeGreaterThan(first?.flow ?? 0);
    expect(second?.flags).toContain("extrapolated");
    expect(second?.u).toBeGreaterThan(0.3);
  });

  it("works for a table of four rows that covers the axis, and refuses one that does not", () => {
    const few = "signal [Hz],airflow [g/s]\n1500,0.3\n4000,11.5\n8000,82\n12000,240\n";
    const short = swap(["axis: { file: ecu-axis.csv }", "axis: { from: 2 kHz, to: 11 kHz, count: 10 }"]);
    const result = plan((text) => short(sameElement(text)), { "present-airflow.csv": few });
    expect(result.airflow.cells.map((cell) => cell.origin)).not.toContain("extrapolated");
    const beyond = swap(["axis: { file: ecu-axis.csv }", "axis: { from: 2 kHz, to: 14 kHz, count: 10 }"]);
    expect(() => plan((text) => beyond(sameElement(text)), { "present-airflow.csv": few })).toThrow(
      /E_TOO_LITTLE_DATA/,
    );
  });

  it("refuses a table whose storage cannot hold the order of its cells, and writes none", () => {
    const coarse = swap([
      /storage: \{ step: [^}]*g\/s \}/,
      "storage: { step: 40 g/s, from: 0 g/s, to: 320 g/s }",
    ]);
    const result = plan(coarse);
    expect(result.verdict.level).toBe("do not use");
    expect(result.verdict.findings[0]?.level).toBe("danger");
    expect(planFiles(result).map(({ name }) => name)).not.toContain("airflow-table.csv");
  });

  it("refuses a table that clips the flow asked of it: it would read low", () => {
    const clipped = swap([
      /storage: \{ step: [^}]*g\/s \}/,
      "storage: { step: 0.005 g/s, from: 0 g/s, to: 100 g/s }",
    ]);
    const result = plan(clipped);
    expect(result.verdict.level).toBe("do not use");
    expect(result.verdict.findings.map(({ code }) => code)).toEqual(
      expect.arrayContaining(["clipped-cells"]),
    );
  });

  it("has nothing to say of temperature where no element is described", () => {
    const without = swap(
      [/ {2}temperature:\n {4}direction:[\s\S]*?unit: degC\n/, ""],
      [/temperature-element:\n(.*\n){2}/, ""],
    );
    const result = plan(without);
    expect(result.temperature).toBeNull();
    expect(result.verdict.findings.map(({ code }) => code)).toContain("no-temperature-table");
  });
});
