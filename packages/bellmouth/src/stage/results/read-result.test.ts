import { describe, expect, it } from "vitest";
import {
  demoDecision,
  demoDrive,
  demoPlan,
  demoRestriction,
  demoTrial,
} from "../../../../../tests/support/results.js";
import { readResult } from "./read-result.js";

const restriction = demoRestriction();
const drive = await demoDrive();

describe("reading a stored result", () => {
  it.each([
    ["a plan", demoPlan()],
    ["a restriction budget", restriction],
    ["a trial", demoTrial()],
    ["a trial of a single pair", demoTrial("single-pair")],
    ["a decision", demoDecision()],
    ["a drive", drive],
  ])("gives %s back as it was", (_, result) => {
    expect(readResult(JSON.stringify(result), "x.json")).toEqual(JSON.parse(JSON.stringify(result)));
  });

  it.each([
    ["no JSON", "bellmouth: plan 1\n", "E_SYNTAX", undefined],
    ["an empty file", "", "E_SYNTAX", undefined],
    ["a list", "[]", "E_SCHEMA", "bellmouth"],
    ["no kind", "{}", "E_SCHEMA", "bellmouth"],
    ["a document's kind", '{"bellmouth":"swap 1"}', "E_SCHEMA", "bellmouth"],
    ["a kind that only objects have", '{"bellmouth":"constructor"}', "E_SCHEMA", "bellmouth"],
    [
      "a document of the same kind",
      '{"bellmouth":"restriction 1","title":"x","readings":"r.csv"}',
      "E_SCHEMA",
      "units",
    ],
    ["a later version", '{"bellmouth":"plan 2"}', "E_SCHEMA", "bellmouth"],
    [
      "an unknown unit",
      JSON.stringify({ ...restriction, units: { ...restriction.units, flow: "furlongs" } }),
      "E_SCHEMA",
      "units.flow",
    ],
    [
      "a number past all bounds",
      JSON.stringify(restriction).replace(/"peak":[\d.]+/, '"peak":1e999'),
      "E_SCHEMA",
      "budget.peak",
    ],
    [
      "drops of one element only",
      JSON.stringify({
        ...restriction,
        byFlow: { ...restriction.byFlow, drops: [restriction.byFlow.drops[0]] },
      }),
      "E_SCHEMA",
      "byFlow.drops",
    ],
  ])("refuses %s, saying where", (_, text, code, path) => {
    let fault: { code?: string; at?: { file?: string; path?: string } } = {};
    try {
      readResult(text, "x.json");
    } catch (error) {
      fault = error as typeof fault;
    }
    expect(fault.code).toBe(code);
    expect(fault.at?.file).toBe("x.json");
    expect(fault.at?.path).toBe(path);
  });
});
