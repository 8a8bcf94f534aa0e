// The demo's own curve: what fitting the straight lines buys over copying the curve's values.
import { readFileSync } from "node:fs";
import { requireDocument, swapDocument } from "bellmouth/document";
import { planSwap } from "bellmouth/stage";
import { describe, expect, it } from "vitest";
import { accuracy } from "../support/accuracy.js";

const folder = new URL("../../examples/demo/", import.meta.url);
const read = (name: string): string => readFileSync(new URL(name, folder), "utf8");
const worstOf = (text: string) => {
  const { document } = requireDocument([swapDocument], text, { file: "swap.yaml", open: read });
  return planSwap(document).airflow.executed;
};

describe("the demo's table as executed", () => {
  const stored = read("swap.yaml");
  const unstored = stored.replace(/storage: \{ step: [^}]*g\/s \}/, "storage: none");

  it("errs little more than half as much where breakpoints are fitted and no segment may become worse", () => {
    expect(unstored).not.toBe(stored);
    const { worst, sampledWorst } = worstOf(unstored);
    accuracy({
      id: "curve-demo-minimax",
      area: "Curves",
      what: "worst executed error of the demo's table, fitted over sampled breakpoints",
      evidence: "closed form",
      source:
        "on one convex segment the best straight line halves the chord's largest error (Chebyshev); that no segment may become worse costs a part of it",
      compared: 1,
      measured: Math.abs(worst.error / sampledWorst.error),
      limit: 0.55,
      unit: "ratio, without storage",
    });
  });

  it("and little more than half once rounded to the demo's storage", () => {
    const { worst, sampledWorst } = worstOf(stored);
    accuracy({
      id: "curve-demo-minimax-stored",
      area: "Curves",
      what: "worst executed error of the demo's table in its storage step of 0.005 g/s, fitted over sampled breakpoints",
      evidence: "closed form",
      source: "half of sampling's error and half a step on the lowest flows",
      compared: 1,
      measured: Math.abs(worst.error / sampledWorst.error),
      limit: 0.6,
      unit: "ratio, with storage",
    });
  });
});
