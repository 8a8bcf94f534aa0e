// docs/concepts/uncertainty.md against the covariance model: every component of the budget, with its correlation between cells.
import { readFileSync } from "node:fs";
import { BUDGET_COMPONENTS, COMPONENT_CORRELATION } from "bellmouth/sensor";
import { describe, expect, it } from "vitest";

const page = readFileSync(new URL("../../docs/concepts/uncertainty.md", import.meta.url), "utf8");
const rows = new Map(
  [...page.matchAll(/^\| (\w+) \| .* \| ([^|]+) \|$/gm)].map(([, name, correlation]) => [
    name,
    correlation as string,
  ]),
);

describe("the page on uncertainty", () => {
  it.each(BUDGET_COMPONENTS)("says how %s is correlated between cells", (component) => {
    const model = COMPONENT_CORRELATION[component];
    const words =
      model === "common"
        ? "full"
        : model === "independent"
          ? "none"
          : `smooth over a length of ${model} in ln flow`;
    expect(rows.get(component)?.split(";")[0]).toBe(words);
  });
});
