// The worked example of DEVELOPERS.md: a new stage is three files.
import { toMarkdown, toText } from "bellmouth/account";
import { readDocument } from "bellmouth/document";
import { describe, expect, it } from "vitest";
import { ductAccount } from "./account.js";
import { ductDocument } from "./document.js";
import { ductResult, planDuct } from "./stage.js";

const text = `bellmouth: duct 1
title: Duct ahead of the meter
bore: 76 mm ± 0.2 mm
flow: 120 g/s
air: { temperature: 20 degC, pressure: 101.325 kPa absolute }
`;

describe("a new stage", () => {
  it("goes from text to a result that reads back the same", () => {
    const read = readDocument([ductDocument], text, { file: "duct.yaml" });
    if (!read.ok) throw read.faults[0];
    const result = planDuct(read.document);
    // Dry air of 20 °C at 101325 Pa: 1.2041 kg/m³ (ideal gas, 287.05 J/(kg K)).
    expect(result.velocity.value).toBeCloseTo(0.12 / (1.2041 * 0.00453646), 2);
    expect(result.velocity.u / result.velocity.value).toBeCloseTo((2 * 0.2) / 76, 9);
    expect(ductResult().parse(JSON.parse(JSON.stringify(result)))).toEqual(result);
    // 1.96 times 2 * 22.0 * 0.2 / 76 is 0.23 m/s.
    const account = ductAccount(result);
    for (const drawn of [toText(account), toMarkdown(account)]) {
      expect(drawn).toContain("22.0 m/s");
      expect(drawn).toContain("21.7 to 22.2");
    }
  });

  it("tells mistakes like every other document", () => {
    const read = readDocument([ductDocument], text.replace("76 mm ± 0.2 mm", "76"), { file: "duct.yaml" });
    expect(read.ok ? [] : read.faults.map(({ at, code }) => [at?.line, at?.path, code])).toEqual([
      [3, "bore", "E_UNIT"],
    ]);
  });
});
