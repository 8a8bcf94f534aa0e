import { describe, expect, it } from "vitest";
import { opener, swapText } from "../../../../../tests/support/swap-sample.js";
import { placeOf } from "../../text/source-place.js";
import { documentSchema, readDocument } from "../document.js";
import { swapDocument } from "./swap-document.js";

const read = () => {
  const result = readDocument([swapDocument], swapText, { file: "swap.yaml", open: opener() });
  if (!result.ok) throw new Error(result.faults.map((fault) => fault.message).join("\n"));
  return result;
};

describe("the swap document", () => {
  it("becomes plain SI data", () => {
    const { document } = read();
    expect(document.present.housing.section).toEqual({ shape: "round", bore: { value: 0.07, u: 1e-4 } });
    expect(document.present.accuracy).toBe(0.02);
    expect(document.present.table.flow[2]).toBeCloseTo(0.22, 12);
    expect(document.next.housing.section).toMatchObject({
      shape: "rectangle",
      height: { value: 0.06, u: 0 },
    });
    expect(document.next).toMatchObject({ source: "donor", asInstalled: false });
    expect(document.air.temperature).toBeCloseTo(293.15, 10);
    expect(document.air).toMatchObject({ pressure: 98500, relativeHumidity: 0.4 });
    expect(document.airflow.axis.kind).toBe("values");
    expect(document.airflow.storage).toMatchObject({ from: 0, offset: 0, step: 1e-5 });
    expect(document.airflow.capture?.resolution).toEqual({ kind: "tick", tick: 1e-6 });
    expect(document.airflow.units).toEqual({ signal: "kHz", flow: "g/s" });
    expect(document.temperature?.ecu).toMatchObject({ pullUp: 2200, axis: [0, 512, 1023] });
    expect(document.temperature?.ecu.storage?.step).toBe(0.75);
    expect(document.temperature?.present).toMatchObject({ kind: "beta", beta: 3500 });
    expect(document.scenarios.map((one) => one.kind)).toEqual(["log", "peak", "engine"]);
    expect(document.scenarios[0]).toMatchObject({ time: [0, 0.05, 0.1] });
    expect(document.scenarios[2]).toMatchObject({
      engine: { displacement: 2.2e-3, strokes: 4, volumetricEfficiency: { value: 1.02, u: 0.03 } },
    });
    expect(document.loss).toMatchObject({ kind: "drop" });
    expect(document.sweep?.bores.length).toBe(19);
    expect(document.sweep?.bores.at(-1)).toBeCloseTo(0.1, 12);
    expect(JSON.parse(JSON.stringify(document)).title).toBe("A wider meter for the hill-climb four");
  });

  it("says where everything stands and what was understood", () => {
    const { source, understood } = read();
    expect(placeOf(source, "new.housing.width")).toEqual({
      file: "swap.yaml",
      line: 21,
      column: 12,
      path: "new.housing.width",
    });
    expect(understood.find((one) => one.path === "restriction.drop")?.reading).toMatchObject({
      text: "8 inH2O ± 0.5",
      unit: "inH2O",
    });
    expect(understood.length).toBeGreaterThan(50);
  });

  it("has a JSON Schema that names every key", () => {
    const schema = JSON.stringify(documentSchema(swapDocument));
    for (const key of ["bellmouth", "present", "rich-bias", "high-flow-from", "pull-up", "as-present"]) {
      expect(schema).toContain(`"${key}"`);
    }
    expect(schema).toContain('"additionalProperties":false');
    expect(schema).toContain("70 mm ± 0.1 mm");
  });

  it("reads the same from JSON", () => {
    const small = { bellmouth: "swap 1", title: "x" };
    const result = readDocument([swapDocument], JSON.stringify(small), { file: "swap.json" });
    expect(result.ok).toBe(false);
    if (!result.ok) expect(result.faults.map((fault) => fault.at?.path)).toContain("present");
  });
});
