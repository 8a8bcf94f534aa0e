import { describe, expect, it } from "vitest";
import { decisionAccount, decisionFiles, toMarkdown } from "../../account/index.js";
import { decisionDocument, documentSchema, readDocument } from "../../document/index.js";
import { weighDecision } from "./index.js";

const text = `bellmouth: decision 1
title: Housing and cams
currency: EUR
options:
  - { name: housing, parts: 240, work: [{ name: dyno, cost: 400 }], gain: 1 kW ± 0.2 kW, headroom: { left: 31 g/s, chance-over: 0.1 % } }
  - { name: cams, parts: 900, work: [{ name: dyno, cost: 400 }, { name: fitting, cost: 300 }], gain: 9 kW ± 1.5 kW }
`;
const read = (source: string) => readDocument([decisionDocument], source, { file: "d.yaml" });

describe("the decision document", () => {
  it("weighs options alone and together, work shared", () => {
    const result = read(text);
    if (!result.ok) throw new Error(result.faults.map((fault) => fault.message).join("\n"));
    const weighed = weighDecision(result.document);
    expect(weighed.table.rows.map((row) => row.total)).toEqual([640, 1600, 1840]);
    expect(weighed.table.rows[2]?.saved).toBe(400);
    expect(weighed.table.rows[0]?.perKilowatt?.value).toBeCloseTo(640, 9);
    const markdown = toMarkdown(decisionAccount(weighed));
    expect(markdown).toContain("law is local");
    expect(markdown).not.toMatch(/NaN|undefined/);
    expect(decisionFiles(weighed).map((file) => file.name)).toEqual([
      "summary.md",
      "decision.json",
      "options.csv",
    ]);
  });
  it.each([
    ["a name twice", text.replace("name: cams", "name: housing"), "options[1].name"],
    ["a negative cost", text.replace("parts: 240", "parts: -240"), "options[0].parts"],
    ["N14: a gain without its uncertainty", text.replace("1 kW ± 0.2 kW", "5 hp"), "options[0].gain"],
    ["N14: names that differ by case", text.replace("name: cams", "name: Housing"), "options[1].name"],
    [
      "N14: shared work at two costs",
      text.replace("{ name: dyno, cost: 400 }, ", "{ name: Dyno, cost: 300 }, "),
      "options[1].work[0].cost",
    ],
    ["a gain without a unit", text.replace("1 kW ± 0.2 kW", "1"), "options[0].gain"],
    [
      "an unknown combination",
      `${text}together: [{ options: [housing, turbo] }]\n`,
      "together[0].options[1]",
    ],
  ])("refuses %s, saying where", (_, source, path) => {
    const result = read(source);
    expect(result.ok).toBe(false);
    if (!result.ok) expect(result.faults[0]?.at?.path).toBe(path);
  });
  it("has a JSON Schema", () => {
    expect(JSON.stringify(documentSchema(decisionDocument))).toContain('"chance-over"');
  });
});
