import { describe, expect, it } from "vitest";
import { opener, swapText } from "../../../../../tests/support/swap-sample.js";
import { readDocument } from "../document.js";
import { swapDocument } from "./swap-document.js";

const result = (text: string) => readDocument([swapDocument], text, { file: "swap.yaml", open: opener() });
const messages = (text: string): string => {
  const read = result(text);
  if (read.ok) throw new Error("accepted");
  return read.faults.map(({ message }) => message).join("\n");
};

describe("what stands ahead of a housing", () => {
  it("becomes SI data", () => {
    const read = result(swapText);
    if (!read.ok) throw new Error(read.faults.map(({ message }) => message).join("\n"));
    const { present, next } = read.document;
    expect(present.housing).toMatchObject({
      run: { value: 0.045, u: 0.01 },
      upstream: "screen",
      loss: { value: 2.2, u: 0.3 },
      sameAhead: false,
      family: "A",
      step: 0,
    });
    expect(next.housing).toMatchObject({ upstream: { part: "elbow", ductBefore: { value: 0.2, u: 0.03 } } });
    expect(next.housing.step).toBeCloseTo(-5e-4, 15);
    expect(next.source === "donor" && next.donor.housing.run).toBe("developed");
  });
  it("the key that a number of development once had is told the new ones", () => {
    const told = messages(swapText.replace("run: 45 mm ± 10 mm", "development: 0.2 ± 0.1"));
    expect(told).toMatch(/swap\.yaml:13:.*'development'.*run, upstream and step say now/);
  });
  it("has no default: run, upstream and step are each asked for", () => {
    for (const key of ["run: 45 mm ± 10 mm", "upstream: screen", "step: 0 mm"]) {
      expect(messages(swapText.replace(`    ${key}\n`, ""))).toContain(
        `the key '${key.split(":")[0]}' is missing`,
      );
    }
  });
  it.each([
    ["an unknown part", "upstream: screen", "upstream: snorkel", /'snorkel'.*'straightener'.*duct-before/s],
    ["an elbow alone", "upstream: screen", "upstream: elbow", /'elbow'.*duct-before/s],
    ["a bare number", "run: 45 mm ± 10 mm", "run: 45", /run.*45/s],
    ["a loss without a plane", "upstream: screen", "upstream: bellmouth", /loss.*screen or a straightener/s],
    [
      "an element in the wall layer",
      "element: 0 .. 0.3",
      "element: 0 .. 0.8",
      /swap\.yaml:\d+.*wall layer.*0\.7/s,
    ],
  ])("%s is refused", (_, from, to, told) => {
    expect(messages(swapText.replace(from, to))).toMatch(told);
  });
});
