import { describe, expect, it } from "vitest";
import { restrictionFiles } from "../../account/index.js";
import { readingFigure } from "../../account/restriction/reading-figure.js";
import { documentSchema, readDocument, restrictionDocument } from "../../document/index.js";
import { measureRestriction } from "./index.js";

const text = `bellmouth: restriction 1
title: Where the pressure goes
air: { temperature: 20 degC, pressure: 99 kPa absolute, humidity: 50 % }
elements:
  - { name: filter, tapping: total }
  - { name: meter, role: meter housing, bore: 74 mm ± 0.1 mm, tapping: static }
  - { name: throttle, tapping: total }
readings: readings.csv
changes:
  - { element: meter, bore: 86 mm, k-ratio: 1 ± 0.1 }
  - { remove: filter, left: { bore: 80 mm, k: 0 } }
`;
// drops of 300, 900 and 600 Pa at 120 g/s, all square; the static tapping reads the head of the stream on top
const rows = [0.07, 0.09, 0.11, 0.12].map((flow, i) => {
  const part = (flow / 0.12) ** 2;
  const head = (flow / ((Math.PI / 4) * 0.074 ** 2)) ** 2 / (2 * 1.16);
  const noise = (j: number): number => 4 * Math.sin(17 * i + 5 * j);
  const cells = [300, 1200, 1800].map((drop, j) => drop * part + (j === 1 ? head : 0) + noise(j));
  return { flow, cells };
});
const csv = (header = "pull,flow [g/s],filter [Pa],meter [Pa],throttle [Pa]"): string =>
  [header, ...rows.map(({ flow, cells }) => `1,${1000 * flow},${cells.join(",")}`)].join("\n");

const read = (source = text, readings = csv()) =>
  readDocument([restrictionDocument], source, { file: "r.yaml", open: () => readings });
const built = (source = text, readings = csv()) => {
  const result = read(source, readings);
  if (!result.ok) throw new Error(result.faults.map((fault) => fault.message).join("\n"));
  return result.document;
};
const fault = (source: string, readings = csv()) => {
  const result = read(source, readings);
  return result.ok ? undefined : result.faults[0];
};

describe("the restriction document", () => {
  it("becomes plain SI data", () => {
    const document = built();
    expect(document.points.length).toBe(4);
    expect(document.points[3]?.flow).toBeCloseTo(0.12, 12);
    expect(document.tract.elements[1]?.area?.u).toBeCloseTo(
      (2 * 0.1 * (Math.PI / 4) * 74 ** 2 * 1e-6) / 74,
      12,
    );
    expect(document.units).toEqual({ pressure: "Pa", flow: "g/s" });
  });
  it("N13: reads gauge pressures, and drops over single parts", () => {
    const turned = (header: string, cells: (of: readonly number[]) => readonly number[]): string =>
      [header, ...rows.map((row) => `1,${1000 * row.flow},${cells(row.cells).join(",")}`)].join("\n");
    const header = "pull,flow [g/s],filter [Pa],meter [Pa],throttle [Pa]";
    const plain = built().points[2]?.drops as readonly number[];
    const gauge = built(
      text.replace("readings:", "pressure-reads: gauge\nreadings:"),
      turned(header, (cells) => cells.map((cell) => -cell)),
    );
    gauge.points[2]?.drops.forEach((drop, s) => {
      expect(drop).toBeCloseTo(plain[s] as number, 9);
    });
    const parts = built(
      text.replace("readings:", "measured: part-by-part\nreadings:"),
      turned(header, (cells) => cells.map((cell, s) => cell - (s > 0 ? (cells[s - 1] as number) : 0))),
    );
    parts.points[2]?.drops.forEach((drop, s) => {
      expect(drop).toBeCloseTo(plain[s] as number, 9);
    });
    expect(parts.options.measured).toBe("part by part");
    const unsaid = turned(header, (cells) => cells.map((cell) => -cell / 2));
    expect(() => measureRestriction(built(text, unsaid))).toThrow(/lies above the outside air/);
    expect(fault(text.replace(", left: { bore: 80 mm, k: 0 }", ""))?.message).toMatch(/'left' is missing/);
  });
  it("N22: a boosted engine's flow comes from its manifold", () => {
    const bySpeed = csv("pull,speed [rpm],filter [Pa],meter [Pa],throttle [Pa]").replaceAll(
      /^1,(\d+)/gm,
      (_, flow) => `1,${Number(flow) * 40}`,
    );
    const engine = (more: string): string =>
      `${text}engine: { displacement: 2 L, strokes: 4, volumetric-efficiency: 90 % ± 2 %${more} }\n`;
    const boosted = built(
      engine(", manifold-pressure: 180 kPa absolute ± 3 kPa, charge-temperature: 45 degC ± 5 K"),
      bySpeed,
    );
    // J. B. Heywood, Internal Combustion Engine Fundamentals (1988), eq. 2.27: 4,800 rpm fill 72 L/s by 90 %.
    const density = 180_000 / (289 * 318.15);
    expect((boosted.points[3]?.flow as number) / (0.9 * 0.08 * density)).toBeCloseTo(1, 2);
    expect(boosted.engineFlow).toBe("held");
    expect(measureRestriction(boosted).verdict.findings.map(({ code }) => code)).toContain(
      "boost-holds-flow",
    );
    expect(fault(engine(", manifold-pressure: 180 kPa absolute"), bySpeed)?.message).toMatch(
      /temperature of its charge/,
    );
  });
  it("N22: a flow that no engine without boost draws is named, unless its manifold pressure is stated", () => {
    const both = (perFlow: number): string =>
      csv("pull,speed [rpm],filter [Pa],meter [Pa],throttle [Pa]")
        .replace("speed [rpm]", "speed [rpm],flow [g/s]")
        .replaceAll(/^1,(\d+)/gm, (_, flow) => `1,${Number(flow) * perFlow},${flow}`);
    const engine = (more = ""): string =>
      `${text}engine: { displacement: 2 L, strokes: 4, volumetric-efficiency: 90 % ± 2 %${more} }\n`;
    const codes = (source: string, perFlow: number): readonly string[] =>
      measureRestriction(built(source, both(perFlow))).verdict.findings.map(({ code }) => code);
    // 2 L at 4,800 rpm move 80 L/s, at 1.17 kg/m^3 94 g/s: 120 g/s are 128 % of that; at 6,000 rpm 103 %.
    expect(built(engine(), both(40)).filling as number).toBeCloseTo(0.12 / (0.08 * 1.17), 1);
    expect(codes(engine(), 40)).toContain("boost-not-stated");
    expect(codes(engine(), 50)).not.toContain("boost-not-stated");
    const stated = engine(", manifold-pressure: 180 kPa absolute ± 3 kPa, charge-temperature: 45 degC ± 5 K");
    expect(codes(stated, 40)).not.toContain("boost-not-stated");
    expect(codes(text, 40)).not.toContain("boost-not-stated");
  });
  it("keeps the readings, and draws them as points about the fitted law", () => {
    const result = measureRestriction(built());
    const { readings, elements } = result.budget;
    expect(readings.flow.map((flow) => Math.round(1000 * flow))).toEqual([70, 90, 110, 120]);
    // The static tapping after the meter reads the stream's head on top: what is kept is total pressure.
    rows.forEach(({ flow, cells }, k) => {
      expect(readings.drops[k]?.[0]).toBeCloseTo(cells[0] as number, 6);
      const head = (flow / ((Math.PI / 4) * 0.074 ** 2)) ** 2 / (2 * 1.16);
      expect((readings.drops[k]?.[1] as number) - ((cells[1] as number) - head)).toBeLessThan(20);
    });
    const picture = readingFigure(result);
    if (picture.picture.kind !== "chart") throw new Error("no chart");
    const drawn = picture.picture.spec.series.filter((series) => series.kind === "points");
    expect(drawn.map((series) => series.points.length)).toEqual(elements.map(() => rows.length));
    expect(drawn[0]?.points[3]?.y).toBeCloseTo(rows[3]?.cells[0] as number, 6);
  });
  it("gives a budget, predictions and files", () => {
    const result = measureRestriction(built());
    expect(result.budget.elements[1]?.share.value).toBeCloseTo(0.5, 1);
    expect(result.verdict.sentence).toMatch(
      /^The meter housing \("meter"\) accounts for (?:49|5\d)(?:\.\d)? % of the pressure loss/,
    );
    expect(result.changes[0]?.rise.value as number).toBeGreaterThan(300);
    expect(JSON.parse(JSON.stringify(result))).toEqual(result);
    const files = Object.fromEntries(restrictionFiles(result).map((file) => [file.name, file.text]));
    expect(Object.keys(files)).toEqual(["summary.md", "restriction.json", "elements.csv", "by-flow.csv"]);
    expect(files["elements.csv"]).toMatch(/^element,drop \[Pa\],drop from \[Pa\]/);
    expect(files["summary.md"]).toContain("## What a change would do");
    expect(files["summary.md"]).toContain("## Before you drive");
    expect(files["summary.md"]).not.toMatch(/NaN|undefined/);
  });
  it("takes absolute pressures and other units", () => {
    const absolute = [
      "pull,flow [g/s],filter [kPa absolute],meter [kPa absolute],throttle [kPa absolute]",
      ...rows.map(({ flow, cells }) => `1,${1000 * flow},${cells.map((cell) => 99 - cell / 1000).join(",")}`),
    ].join("\n");
    const document = built(text, absolute);
    expect(document.points[0]?.drops[0]).toBeCloseTo(rows[0]?.cells[0] as number, 6);
    expect(document.units.pressure).toBe("kPa");
  });
  it("reckons flows from engine speed", () => {
    const bySpeed = csv("pull,speed [rpm],filter [Pa],meter [Pa],throttle [Pa]").replaceAll(
      /^1,(\d+)/gm,
      (_, n) => `1,${50 * Number(n)}`,
    );
    const engine = `${text}engine: { displacement: 2.2 L, strokes: 4, volumetric-efficiency: 92 % ± 3 % }\n`;
    const document = built(engine, bySpeed);
    expect(document.flows).toBe("reckoned");
    expect(document.points[3]?.flow as number).toBeGreaterThan(0.1);
    expect(measureRestriction(document).verdict.findings.map((one) => one.code)).toContain("flows-reckoned");
    expect(fault(text, bySpeed)?.code).toBe("E_SCHEMA");
  });
  it.each([
    ["a static tapping without a bore", text.replace("bore: 74 mm ± 0.1 mm, ", ""), "elements[1].tapping"],
    ["a name twice", text.replace("name: throttle", "name: filter"), "elements[2].name"],
    ["a change of an unknown part", text.replace("element: meter", "element: turbo"), "changes[0].element"],
    [
      "a change of a part without a bore",
      text.replace("element: meter, bore: 86 mm", "element: filter, bore: 86 mm"),
      "changes[0].element",
    ],
    [
      "a change of both kinds",
      text.replace(
        "{ remove: filter, left: { bore: 80 mm, k: 0 } }",
        "{ remove: filter, left: { bore: 80 mm, k: 0 }, element: meter }",
      ),
      "changes[1].element",
    ],
    ["a gauge barometer", text.replace("99 kPa absolute", "-1 kPa gauge"), "air.pressure"],
    ["a bore without a unit", text.replace("74 mm ± 0.1 mm", "74"), "elements[1].bore"],
    ["an unknown key", text.replace("title:", "titel:"), undefined],
  ])("refuses %s, saying where", (_, source, path) => {
    const found = fault(source);
    expect(found?.at?.line).toBeGreaterThan(0);
    if (path !== undefined) expect(found?.at?.path).toBe(path);
  });
  it("refuses readings of another tract, with the table's line", () => {
    const found = fault(text, csv("pull,flow [g/s],filter [Pa],meter [Pa],plenum [Pa]"));
    expect(found?.code).toBe("E_COLUMN");
    expect(found?.at?.line).toBe(1);
  });
  it("finds a column in another unit by its rise of pressure, and nothing where the head comes back", () => {
    const rises = (header?: string) =>
      measureRestriction(built(text, csv(header))).verdict.findings.filter(
        ({ code }) => code === "pressure-rises",
      );
    expect(rises()).toEqual([]);
    const mixed = rises("pull,flow [g/s],filter [mmH2O],meter [Pa],throttle [Pa]");
    expect(mixed.map(({ level }) => level)).toEqual(["caution"]);
    expect(mixed[0]?.text).toMatch(
      /^The air after "meter" reads a higher pressure than after "filter", by \d+ mmH2O/,
    );
  });
  it("names the reading that cannot be", () => {
    const document = built(text, csv().replace(/\n1,70,[^,]+/u, "\n1,70,60000"));
    expect(() => measureRestriction(document)).toThrow(/^readings, row 2, "filter": the drop is half/);
  });
  it("has a JSON Schema that names every key", () => {
    const schema = JSON.stringify(documentSchema(restrictionDocument));
    for (const key of ["tapping-bore", "gauge-step", "reading-uncertainty", "k-ratio", "independent"])
      expect(schema).toContain(`"${key}"`);
  });
});
