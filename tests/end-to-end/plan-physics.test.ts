// What a plan says of the tables, axes and limits it is given, on the demo's documents bent in one place.
import { readFileSync } from "node:fs";
import { requireDocument, swapDocument } from "bellmouth/document";
import { planSwap } from "bellmouth/stage";
import { describe, expect, it } from "vitest";

const folder = new URL("../../examples/demo/", import.meta.url);
const read = (name: string): string => readFileSync(new URL(name, folder), "utf8");
const swap = read("swap.yaml");
const planOf = (text: string, files: Readonly<Record<string, string>> = {}) =>
  planSwap(
    requireDocument([swapDocument], text, { file: "swap.yaml", open: (name) => files[name] ?? read(name) })
      .document,
  );
const findingsOf = (plan: ReturnType<typeof planOf>, code: string) =>
  plan.verdict.findings.filter((finding) => finding.code === code);

/** A table with the flow of one line (counted from 1) multiplied. */
function bent(name: string, line: number, factor: number): string {
  const lines = read(name).split("\n");
  const [signal, flow] = (lines[line - 1] ?? "").split(",") as [string, string];
  lines[line - 1] = `${signal},${(Number(flow) * factor).toFixed(3)}`;
  return lines.join("\n");
}

describe("tables judged", () => {
  it("S12: a misprint of 5 % in the donor's table is named with file, line and both flows, and needs a decision", () => {
    const line = 21;
    const plan = planOf(swap, { "donor-airflow.csv": bent("donor-airflow.csv", line, 0.95) });
    const [finding] = findingsOf(plan, "misprint");
    expect(finding?.level).toBe("caution");
    expect(finding?.text).toContain(`donor-airflow.csv, line ${line}:`);
    expect(finding?.text).toMatch(/5\.\d % more/u);
    expect(plan.verdict.level).toBe("decision needed");
    expect(findingsOf(planOf(swap), "misprint")).toEqual([]);
    expect(findingsOf(planOf(swap), "misprints-checked")).toHaveLength(2);
  });
  it("N3: a table whose scatter has a flow fall is made to rise within its accuracy, and told with its line", () => {
    const lines = read("donor-airflow.csv").split("\n");
    const [signal] = (lines[24] ?? "").split(",") as [string];
    const before = Number((lines[23] ?? "").split(",")[1]);
    lines[24] = `${signal},${(before * 0.999).toFixed(3)}`;
    const loose = swap.replace(/(donor:[\s\S]*?accuracy:) 2 %/u, "$1 8 %");
    const plan = planOf(loose, { "donor-airflow.csv": lines.join("\n") });
    const [told] = findingsOf(plan, "flows-made-rising");
    expect(told?.text).toMatch(/donor-airflow\.csv, line [\d, ]*25/u);
    plan.airflow.cells.forEach((cell, i) => {
      if (i > 0) expect(cell.flow).toBeGreaterThan(plan.airflow.cells[i - 1]?.flow as number);
    });
  });
  it("N3: scatter as declared never refuses a table", () => {
    let seed = 11;
    const draw = (): number => {
      seed = (seed * 1103515245 + 12345) % 2 ** 31;
      return seed / 2 ** 31;
    };
    const normal = (): number => Math.sqrt(-2 * Math.log(1 - draw())) * Math.cos(2 * Math.PI * draw());
    for (let run = 0; run < 20; run++) {
      const donor = read("donor-airflow.csv")
        .split("\n")
        .map((line, i) => {
          const [signal, flow] = line.split(",");
          return i === 0 || flow === undefined
            ? line
            : `${signal},${Number(flow) * Math.exp(0.02 * normal())}`;
        })
        .join("\n");
      expect(() => planOf(swap, { "donor-airflow.csv": donor })).not.toThrow();
    }
  });
  it("S20: a donor's bore typed 10 % wrong is found where both elements are of one family", () => {
    const family = (text: string): string =>
      text.replaceAll("element: 0 .. 0.3", "element: 0 .. 0.3\n    family: A");
    const inDonor = (text: string): string =>
      text.replace("      element: 0 .. 0.3\n    family: A", "      element: 0 .. 0.3\n      family: A");
    const stated = inDonor(family(swap));
    expect(findingsOf(planOf(stated), "bores-contradict-tables")).toEqual([]);
    const wrong = planOf(stated.replace("bore: 80 mm", "bore: 92 mm"));
    const [finding] = findingsOf(wrong, "bores-contradict-tables");
    expect(finding?.text).toContain("92.00 mm (donor)");
    expect(wrong.verdict.level).toBe("decision needed");
    // Not stated to be of one make: a note at most.
    const [note] = findingsOf(planOf(swap.replace("bore: 80 mm", "bore: 92 mm")), "element-against-present");
    expect(note?.level).toBe("note");
  });
});

describe("executed tables", () => {
  const coarse = swap.replace(
    "axis: { file: ecu-axis.csv }",
    "axis: { from: 1.7 kHz, to: 11 kHz, count: 21 }",
  );
  it("S16: an axis too coarse for the curve is told with its error, and with the breakpoints that would do", () => {
    const plan = planOf(coarse);
    const [finding] = findingsOf(plan, "coarse-axis");
    expect(finding?.text).toMatch(/too coarse.*around \d+ Hz the straight lines read [\d.]+ % (?:high|low)/u);
    expect(finding?.text).toContain("place: best");
    const { placed, worst } = plan.airflow.executed;
    expect(placed?.signals).toHaveLength(21);
    expect(placed?.worst).toBeLessThan(Math.abs(worst.error) / 2);
    expect(plan.verdict.level).toBe("decision needed");
  });
  it("S16: `place: best` takes them", () => {
    const best = planOf(
      swap.replace(
        "axis: { file: ecu-axis.csv }",
        "axis: { from: 1.7 kHz, to: 11 kHz, count: 21, place: best }",
      ),
    );
    expect(Math.abs(best.airflow.executed.worst.error)).toBeLessThan(
      Math.abs(planOf(coarse).airflow.executed.worst.error) / 2,
    );
    expect(findingsOf(best, "coarse-axis")).toEqual([]);
    const ends = planOf(swap.replace("axis: { file: ecu-axis.csv }", "axis: { count: 24, place: best }"));
    expect(ends.airflow.cells.map(({ signal }) => signal).at(0)).toBe(1800);
    expect(ends.airflow.cells).toHaveLength(24);
  });
  it("S17: an axis from 0 Hz without storage has no negative and no equal flows", () => {
    const zero = swap
      .replace("axis: { file: ecu-axis.csv }", "axis: { from: 0 Hz, to: 12 kHz, count: 33 }")
      .replace(/storage: \{ step: [^}]*g\/s \}/u, "storage: none");
    const { cells } = planOf(zero).airflow;
    cells.forEach((cell, i) => {
      expect(cell.flow).toBeGreaterThanOrEqual(0);
      if (i > 0) expect(cell.flow).toBeGreaterThan(cells[i - 1]?.flow as number);
    });
  });
  it("N2: breakpoints that are the table's own up to rounding are one", () => {
    const table = Array.from({ length: 44 }, (_, i) => {
      const volts = Number((0.7 + 0.1 * i).toFixed(1));
      return `${volts},${(2 * volts ** 3).toFixed(4)}`;
    });
    const volts = swap
      .replaceAll("signal: frequency", "signal: voltage")
      .replace(/range: 1 kHz .. 1[12] kHz\n/gu, "range: 0.5 V .. 5 V\n")
      .replace("axis: { file: ecu-axis.csv }", "axis: { from: 0.7 V, to: 5 V, count: 44 }")
      .replace(/capture: \{[^}]*\}/u, "capture: { from: 0 V, to: 5 V, bits: 10 }")
      .replace(/\n {4}idle-signal: .*/u, "");
    const csv = `signal [V],airflow [g/s]\n${table.join("\n")}\n`;
    const plan = planOf(volts, { "donor-airflow.csv": csv, "present-airflow.csv": csv });
    expect(plan.airflow.cells).toHaveLength(44);
    expect(plan.airflow.wanted.length).toBeLessThan(44 * 6);
  });
});

describe("headroom told", () => {
  it("N1, N21: an interval or a demand past the table's end is told as past the end, not extrapolated", () => {
    const short = swap.replace(
      "axis: { file: ecu-axis.csv }",
      "axis: { from: 1.8 kHz, to: 9.6 kHz, count: 32 }",
    );
    const [used] = planOf(short).keyFigures;
    expect(used?.value).toBeLessThanOrEqual(100);
    expect(used?.high).toBeNull();
    expect(used?.meaning).toContain("past the end of the table");
    expect(used?.meaning).toContain("holds its last value and reads low");
    const shorter = short.replace("to: 9.6 kHz", "to: 8 kHz").replace("outside: hold", "outside: extend");
    const [past] = planOf(shorter).keyFigures;
    expect(past).toMatchObject({ value: 100, low: null, high: null });
    expect(past?.meaning).toContain("carries its last line on, where nothing is calibrated");
    // V13: of what the share is taken is said in the signal's unit.
    expect(past?.meaning).toContain("ends at 8000 Hz (the table's last breakpoint)");
  });
  it("N18: an uncertainty shared by log and curve is bounded by either's own, and N5: a pull has its table's", () => {
    const shared = swap.replace("sustained: 0.5 s }", "sustained: 0.5 s, shared: 2 % }");
    const [pull] = planOf(shared).headroom.scenarios;
    expect(pull?.u).toBeGreaterThanOrEqual(0.02);
    expect(pull?.chanceOver).toBeLessThan(0.01);
  });
  it("V5: the uncertainty at high flow is that of cells a scenario reaches", () => {
    const plan = planOf(swap);
    const reached = plan.airflow.cells.filter((_, i) => (plan.headroom.cells[i]?.reachedBy.length ?? 0) > 0);
    const worst = Math.max(...reached.filter((cell) => cell.flow >= 0.06).map((cell) => cell.u));
    expect(plan.keyFigures[2]?.value).toBeCloseTo(100 * worst, 9);
    expect(Math.max(...plan.airflow.cells.map((cell) => cell.u))).toBeGreaterThan(worst);
  });
});

describe("documents held against common sense", () => {
  it("S13: a displacement that the measured pull contradicts is told with both figures", () => {
    const plan = planOf(swap.replace("displacement: 2.2 L", "displacement: 300 cm^3"));
    const below = findingsOf(plan, "demand-below-pull");
    expect(below.length).toBeGreaterThan(0);
    expect(below[0]?.text).toMatch(/0\.300 L.*measured/u);
    expect(findingsOf(plan, "implausible-demand")[0]?.text).toMatch(
      /means a volumetric efficiency of .* states 93/u,
    );
    expect(plan.verdict.level).toBe("decision needed");
    for (const code of ["demand-below-pull", "implausible-demand", "elements-apart", "element-span"]) {
      expect(findingsOf(planOf(swap), code), code).toEqual([]);
    }
  });
  it("S13: a log that implies another volumetric efficiency than the stated one is told with both", () => {
    const plan = planOf(
      swap.replace("volumetric-efficiency: 93 % ± 2 %", "volumetric-efficiency: 110 % ± 2 %"),
    );
    expect(findingsOf(plan, "efficiency-differs")[0]?.text).toMatch(/efficiency of \d.*states 110/u);
  });
  it("S13: a Fahrenheit table labelled degC is told with both elements' readings", () => {
    const fahrenheit = read("new-element.csv")
      .split("\n")
      .map((line, i) => {
        const [t, r] = line.split(",");
        return i === 0 || r === undefined ? line : `${Number(t) * 1.8 + 32},${r}`;
      })
      .join("\n");
    const plan = planOf(swap, { "new-element.csv": fahrenheit });
    const told = [...findingsOf(plan, "elements-apart"), ...findingsOf(plan, "element-span")];
    expect(told.some(({ level }) => level === "caution")).toBe(true);
  });
  it("S14: cells past the band are as uncertain as they are off, and what the table reads past the band is told", () => {
    const plan = planOf(swap);
    const beyond = plan.temperature?.cells.filter(({ flags }) => flags.includes("beyond band")) ?? [];
    expect(beyond.length).toBeGreaterThan(1);
    for (const { u } of beyond) expect(u).toBeGreaterThan(0.5);
    expect(Math.max(...beyond.map(({ u }) => u))).toBeGreaterThan(10);
    expect(findingsOf(plan, "past-band")[0]?.text).toMatch(/at 110 .C the table reads 10/u);
  });
  it("S14: so it is in the other direction, read backwards", () => {
    const backwards = swap
      .replace("direction: signal-to-temperature", "direction: temperature-to-signal")
      .replace(
        /(signal: voltage\n {4}axis:)\s*\[[^\]]*\]/u,
        "$1 [-40 degC, -20 degC, 0 degC, 20 degC, 50 degC, 100 degC]",
      )
      .replace(/storage: \{ step: 0.5 K.*/u, "storage: { step: 5 mV, from: 0 V, to: 5 V }")
      .replace("unit: degC", "unit: V");
    const plan = planOf(backwards);
    expect(plan.temperature?.pastBand.map(({ true: t }) => Math.round(t - 273.15))).toEqual([-40, 110]);
    // The last cell, 100 degC, is held: hot air reads cooler, and that is said.
    expect(findingsOf(plan, "past-band")[0]?.text).toMatch(/at 110 .C the table reads \d\d.*knock/u);
  });
  it("S14: a point of the element that lies within the accuracy stated for it is no misprint", () => {
    // 20 degC read at 6.103 kohm; 1.4 % more is 0.3 K, of which 0.5 K stated leaves nothing to tell.
    const table = { "new-element.csv": read("new-element.csv").replace("20,6.103", "20,6.188") };
    expect(findingsOf(planOf(swap, table), "temperature-outliers")).toEqual([]);
    const strict = swap.replace(/(new: \{ points: new-element.csv, accuracy:) 0.5 K/u, "$1 0.05 K");
    expect(findingsOf(planOf(strict, table), "temperature-outliers")).toHaveLength(1);
    const gross = { "new-element.csv": read("new-element.csv").replace("20,6.103", "20,7.103") };
    expect(findingsOf(planOf(swap, gross), "temperature-outliers")).toHaveLength(1);
  });
  it("N4: ducts of the document count in the sweep's drop", () => {
    const ducts = swap.replace(
      "at: 122 g/s ± 3 %\n",
      "at: 122 g/s ± 3 %\n  ducts: { before: 74 mm, after: 74 mm }\n",
    );
    expect(ducts).not.toBe(swap);
    const [bare, stepped] = [planOf(swap).sweep?.rows ?? [], planOf(ducts).sweep?.rows ?? []];
    const own = bare.findIndex(({ bore }) => Math.abs(bore - 0.074) < 1e-9);
    expect(stepped[own]?.drop?.value).toBeCloseTo(bare[own]?.drop?.value as number, 6);
    bare.forEach((row, i) => {
      if (i !== own) expect(stepped[i]?.drop?.value).toBeGreaterThan(row.drop?.value as number);
    });
  });
  it("N4: flow and drop belong to one air, and the drop's limit is held as a probability", () => {
    const sweepOf = (text: string) => {
      const { sweep } = planOf(text);
      if (sweep === null) throw new Error("a sweep");
      return sweep;
    };
    const warm = swap.replaceAll(
      "temperature: -15 degC, pressure: 103 kPa",
      "temperature: 20 degC, pressure: 99 kPa",
    );
    const [cold, same] = [sweepOf(swap), sweepOf(warm)];
    // The same engine at the same speed asks for more mass of denser air: by the ratio of densities, and so does its drop.
    const density = 103 / 258.15 / (99 / 293.15);
    expect((cold.rows[4]?.drop?.value ?? 0) / (same.rows[4]?.drop?.value ?? 1)).toBeCloseTo(density, 3);
    // A bore whose drop lies just below the limit does not hold it with its interval.
    for (const { meets, drop, fails } of cold.rows) {
      if (drop === null || drop.value < 1300) continue;
      expect(meets).toBe(false);
      expect(fails.length).toBeGreaterThan(0);
    }
    const chosen = cold.rows.find((row) => row.bore === cold.chosen)?.drop;
    expect((chosen?.value ?? 0) + 0.8 * (chosen?.u ?? 0)).toBeLessThan(1300);
  });
});
