import { describe, expect, it } from "vitest";
import { opener, swapText } from "../../../../../tests/support/swap-sample.js";
import { requireDocument, swapDocument } from "../../document/index.js";
import { planSwap } from "./plan-swap.js";
import type { PlanResult } from "./result.js";

/** A donor's table with enough cells for a law. */
const donor = `signal [Hz],airflow [kg/h]\n${Array.from({ length: 20 }, (_, i) => {
  const signal = 1500 + 500 * i;
  return `${signal},${(900 * (signal / 11_000) ** 2.8).toPrecision(9)}`;
}).join("\n")}\n`;

const pull = "time [s],airflow [g/s]\n0,11\n0.2,180\n0.4,181\n0.6,180\n0.8,181\n1,20\n";
const element =
  "temperature [degC],resistance [kohm]\n-30,26.7\n-10,9.4\n10,3.8\n20,2.5\n40,1.18\n60,0.6\n100,0.19\n";

const planned = (block: string | null, pairs = ""): PlanResult => {
  const text =
    block === null
      ? swapText
      : swapText.replace("\n  donor:\n", `\n  transfer: {measured: p.csv, ${block}}\n  donor:\n`);
  const { document } = requireDocument([swapDocument], text, {
    file: "swap.yaml",
    open: opener({ "p.csv": pairs, "donor.csv": donor, "pull.csv": pull, "element.csv": element }),
  });
  return planSwap(document);
};
const bench = "by: flow bench, reading: 0.3 %, reference: 0.5 %, between-days: 0.5 %";
const law = planned(null);
const signals = [3000, 5000, 7000, 9000, 10_500];
const wantedAt = (plan: PlanResult, signal: number) =>
  plan.airflow.cells.find((cell) => cell.signal === signal);
const pairsOf = (by: number): string =>
  `signal [Hz],airflow [kg/s]\n${signals.map((signal) => `${signal},${(by * (wantedAt(law, signal)?.wanted ?? 0)).toPrecision(9)}`).join("\n")}\n`;
const codes = (plan: PlanResult): string[] => plan.verdict.findings.map(({ code }) => code);

describe("a plan with measured pairs", () => {
  it("follows pairs taken in the car, and knows the table better", () => {
    const plan = planned(`where: car, ${bench}`, pairsOf(1.04));
    for (const signal of signals) {
      const [cell, before] = [wantedAt(plan, signal), wantedAt(law, signal)];
      expect((cell?.wanted ?? 0) / (before?.wanted ?? 1)).toBeCloseTo(1.04, 2);
      expect(cell?.u).toBeLessThan(0.5 * (before?.u ?? 0));
      // What the pairs move is told beside the area ratio too.
      expect((cell?.overAreaOnly ?? 0) / (before?.overAreaOnly ?? 1)).toBeCloseTo(1.04, 2);
    }
    expect(codes(plan)).toContain("measured-pairs");
    expect(codes(plan)).not.toContain("pairs-against-law");
  });
  it("a bench has not seen what stands ahead in the car", () => {
    const [car, elsewhere] = [
      planned(`where: car, ${bench}`, pairsOf(1)),
      planned(`where: bench, ${bench}`, pairsOf(1)),
    ];
    const u = (plan: PlanResult): number => wantedAt(plan, 7000)?.u ?? 0;
    expect(u(car)).toBeLessThan(0.012);
    expect(u(elsewhere)).toBeGreaterThan(0.05);
  });
  it("pairs that the prediction cannot explain need a decision", () => {
    const plan = planned(`where: car, ${bench}`, pairsOf(1.5));
    expect(codes(plan)).toContain("pairs-against-law");
    expect(plan.verdict.level).not.toBe("ready");
  });
});
