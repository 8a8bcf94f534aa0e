import { describe, expect, it } from "vitest";
import { demoPlan } from "../../../../../tests/support/results.js";
import { documentSchema, readDocument } from "../document.js";
import { refineDocument } from "./refine-kind.js";

const text = `bellmouth: refine 1
title: First correction
table:
  file: table.csv
  signal: voltage
  uncertainty: 5 %
outside: hold
logs: [a.csv, b.csv]
columns:
  time: Time [s]
  signal: MAF [mV]
  lambda: { formula: afr / 14.7, names: { afr: Wideband AFR } }
  short-trim: { column: "STFT [B1]", unit: "%" }
largest-change: 8 %
`;
const read = (source: string, files: { readonly [name: string]: string } = {}) =>
  readDocument([refineDocument], source, {
    file: "refine.yaml",
    open: (name) => files[name] ?? "signal [V],airflow [g/s]\n1,2\n2,10\n4,120\n",
  });
const faultsOf = (source: string, files = {}) => {
  const result = read(source, files);
  return result.ok ? [] : result.faults;
};

describe("the refine document", () => {
  it("becomes plain data: table with budget, logs, columns", () => {
    const result = read(text);
    if (!result.ok) throw new Error(result.faults.map((fault) => fault.message).join("\n"));
    const { document } = result;
    expect(document.logs).toEqual(["a.csv", "b.csv"]);
    expect(document.columns.time).toEqual({ column: "Time", unit: "s" });
    expect(document.columns.channels).toEqual({
      signal: { columns: ["MAF"], unit: "mV" },
      lambda: { columns: [], formula: { text: "afr / 14.7", names: { afr: "Wideband AFR" } } },
      shortTrim: { columns: ["STFT [B1]"], unit: "%" },
    });
    expect(document.largestChange).toBeCloseTo(0.08, 12);
    const { bore, profile } = document.curve.cells[0]!.budget;
    expect(Math.hypot(bore ?? 0, profile ?? 0)).toBeCloseTo(0.05, 12);
    expect(structuredClone(document)).toEqual(document);
  });

  it("takes table and budget from a plan's data", () => {
    const plan = {
      bellmouth: "plan 1",
      signal: "voltage",
      units: { flow: "g/s", signal: "V" },
      airflow: {
        cells: [1, 2].map((signal) => ({
          signal,
          flow: signal / 100,
          origin: "rescaled",
          budget: { bore: 0.01, installation: 0.02 },
          flags: ["laminar"],
        })),
      },
    };
    const source = text.replace(/table:\n(?: {2}.*\n)+/u, "table: { plan: plan.json }\n");
    const result = read(source, { "plan.json": JSON.stringify(plan) });
    if (!result.ok) throw new Error(result.faults.map((fault) => fault.message).join("\n"));
    expect(result.document.curve.cells[1]).toMatchObject({
      flow: 0.02,
      budget: { bore: 0.01, installation: 0.02 },
    });
  });

  it("takes every part of the budget that a plan can have", () => {
    const source = text
      .replace(/table:\n(?: {2}.*\n)+/u, "table: { plan: plan.json }\n")
      .replace("voltage", "frequency");
    const plan = demoPlan();
    const result = read(source, { "plan.json": JSON.stringify(plan) });
    if (!result.ok) throw new Error(result.faults.map((fault) => fault.message).join("\n"));
    expect(result.document.curve.cells.map((cell) => cell.budget)).toEqual(
      plan.airflow.cells.map((cell) => cell.budget),
    );
  });

  it.each([
    ["two tables", text.replace("  file:", "  plan: plan.json\n  file:"), "E_SCHEMA"],
    ["a column in a unit of something else", text.replace("MAF [mV]", "MAF [degC]"), "E_UNIT"],
    ["an air-fuel ratio without its scale", text.replace(/lambda: .*/u, "lambda: AFR [AFR]"), "E_UNIT"],
    ["no logs", text.replace("[a.csv, b.csv]", "[]"), "E_SCHEMA"],
    ["an unknown channel", text.replace("  signal: MAF", "  signla: MAF"), "E_SCHEMA"],
    ["no word on the table's ends", text.replace("outside: hold\n", ""), "E_SCHEMA"],
    ["a plan that is none", text.replace(/table:\n(?: {2}.*\n)+/u, "table: { plan: x.json }\n"), "E_SCHEMA"],
  ])("refuses %s, saying where", (_, source, code) => {
    const [fault] = faultsOf(source);
    expect(fault?.code).toBe(code);
    expect(fault?.at?.file ?? fault?.at?.line).toBeDefined();
  });

  it("has a JSON Schema that names every key", () => {
    const schema = JSON.stringify(documentSchema(refineDocument));
    for (const key of ["present-meter", "largest-change", "manifold-pressure"])
      expect(schema).toContain(`"${key}"`);
  });
});
