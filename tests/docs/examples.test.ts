// Every @example in the library's doc comments runs, and its `// ≈` lines hold at the digits given.
import * as air from "bellmouth/air";
import * as curve from "bellmouth/curve";
import * as document from "bellmouth/document";
import * as drive from "bellmouth/drive";
import * as fault from "bellmouth/fault";
import * as fit from "bellmouth/fit";
import * as intake from "bellmouth/intake";
import * as sensor from "bellmouth/sensor";
import * as stage from "bellmouth/stage";
import * as text from "bellmouth/text";
import * as units from "bellmouth/units";
import { describe, expect, it } from "vitest";
import { documentedFunctions } from "./doc-comments.js";
import { runExample } from "./run-example.js";

const scope = {
  ...fault,
  ...units,
  ...fit,
  ...air,
  ...curve,
  ...sensor,
  ...intake,
  ...drive,
  ...text,
  ...document,
  ...stage,
};
const cases = documentedFunctions().flatMap((f) => f.examples.map((code, i) => ({ ...f, code, i })));

describe("examples in doc comments", () => {
  it("are found", () => {
    expect(cases.length).toBeGreaterThan(0);
  });
  it.each(cases)("$file $name", async ({ code }) => {
    expect((await runExample(code, scope)).compared, "an example shows at least one value").toBeGreaterThan(
      0,
    );
  });
});

describe("the example runner itself", () => {
  it("fails on a wrong digit, passes on a right one, and counts", async () => {
    expect(await runExample("const a = 1.5;\na * 2 // ≈ 3.00", {})).toEqual({ compared: 1 });
    expect(await runExample("const b: number = 2 // => 2", {})).toEqual({ compared: 1 });
    await expect(runExample("1 / 3 // ≈ 0.334", {})).rejects.toThrow(/0.3333/);
    await expect(runExample("[1, 2] // => [1,3]", {})).rejects.toThrow(/example says/);
    await expect(runExample("Number.NaN // ≈ 1", {})).rejects.toThrow(/NaN/);
  });
});
