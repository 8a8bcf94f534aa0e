import type { AccuracyRow } from "../../support/accuracy.js";
import type { CaseScore } from "./score-case.js";

interface FamilyScore {
  readonly family: string;
  readonly drives: number;
  readonly cells: number;
  /** Root of the mean square of the relative flow error over all driven cells of the family [1]. */
  readonly rms: (method: string) => number;
  readonly coverage: number;
  readonly oracleCoverage: number;
  readonly worsened: number;
}

/** Cases gathered by family, then all together. */
export function byFamily(scores: readonly CaseScore[]): FamilyScore[] {
  const families = [...new Set(scores.map((score) => score.family))];
  return [...families, "all" as const].map((family) => {
    const own = scores.filter((score) => family === "all" || score.family === family);
    const total = (of: (score: CaseScore) => number): number =>
      own.reduce((sum, score) => sum + of(score), 0);
    const cells = total((score) => score.cells);
    return {
      family,
      drives: own.length,
      cells,
      rms: (method) => Math.sqrt(total((score) => score.squares[method] ?? Number.NaN) / cells),
      coverage: total((score) => score.covered) / cells,
      oracleCoverage: total((score) => score.oracleCovered) / cells,
      worsened: total((score) => score.worsened),
    };
  });
}

/** A table to read: rms errors in per cent, ratios, coverage. */
export function familyTable(scores: readonly CaseScore[]): string {
  const head = [
    "family",
    "drives",
    "cells",
    "start %",
    "nearest %",
    "weights %",
    "oracle %",
    "refine %",
    "/nearest",
    "/weights",
    "/oracle",
    "covers %",
    "oracle covers %",
    "worse",
    "s a drive",
  ];
  const percent = (value: number): string => (100 * value).toFixed(2);
  const lines = byFamily(scores).map((f) => {
    const refine = f.rms("refine");
    const own = scores.filter((score) => f.family === "all" || score.family === f.family);
    const seconds = own.reduce((sum, score) => sum + (score.seconds["refine"] ?? 0), 0) / own.length;
    return [
      f.family,
      String(f.drives),
      String(f.cells),
      percent(f.rms("start")),
      percent(f.rms("nearest")),
      percent(f.rms("weights")),
      percent(f.rms("oracle")),
      percent(refine),
      (refine / f.rms("nearest")).toFixed(3),
      (refine / f.rms("weights")).toFixed(3),
      (refine / f.rms("oracle")).toFixed(2),
      (100 * f.coverage).toFixed(1),
      (100 * f.oracleCoverage).toFixed(1),
      String(f.worsened),
      seconds.toFixed(2),
    ];
  });
  const widths = head.map((title, k) => Math.max(title.length, ...lines.map((line) => line[k]!.length)));
  return [head, ...lines]
    .map((line) =>
      line.map((text, k) => (k === 0 ? text.padEnd(widths[k]!) : text.padStart(widths[k]!))).join("  "),
    )
    .join("\n");
}

const SOURCE = "tests/bench/refine/score.mjs, simulated cars that the method was not developed on";
/** Limits stated before anything was measured. */
const AGAINST_PRACTICE = 0.2;
const AGAINST_ORACLE = 1.2;

/** Rows for docs/accuracy.md: what was found beside what was asked for, whether reached or not. */
export function accuracyRows(scores: readonly CaseScore[]): AccuracyRow[] {
  return byFamily(scores).flatMap((f): AccuracyRow[] => {
    const id = f.family
      .replaceAll("%", "percent")
      .replaceAll(/[^a-z0-9]+/gi, "-")
      .toLowerCase();
    const common = { area: "Refinement", evidence: "simulation" as const, source: SOURCE, compared: f.cells };
    const where = f.family === "all" ? "all families" : f.family;
    return [
      {
        ...common,
        id: `refine-practice-${id}`,
        what: `flow error over the driven cells, ${where}: refinement over cell averaging`,
        measured: f.rms("refine") / f.rms("nearest"),
        limit: AGAINST_PRACTICE,
        unit: "ratio of rms",
      },
      {
        ...common,
        id: `refine-oracle-${id}`,
        what: `flow error over the driven cells, ${where}: refinement over an oracle told delay, noise and transient law`,
        measured: f.rms("refine") / f.rms("oracle"),
        limit: AGAINST_ORACLE,
        unit: "ratio of rms",
      },
      {
        ...common,
        id: `refine-coverage-${id}`,
        what: `driven cells inside their 95 % interval, ${where}: distance from 95 %`,
        measured: Math.abs(100 * f.coverage - 95),
        limit: 2,
        unit: "percentage points",
      },
      {
        ...common,
        id: `refine-worsened-${id}`,
        what: `evidenced cells left further off than before by more than their interval, ${where}`,
        measured: f.worsened,
        limit: 0,
        unit: "cells",
      },
    ];
  });
}
