import type { SwapDocument } from "../../document/index.js";
import { chance, inUnit, percent } from "../../text/index.js";
import type { Finding, KeyFigure, Verdict } from "../result-parts.js";
import { verdictLevel } from "../verdict-level.js";
import type { PlanParts } from "./findings.js";
import type { AirflowPlan } from "./result.js";

/** One sentence, and the worst of the findings. */
export function planVerdict(document: SwapDocument, found: PlanParts, findings: readonly Finding[]): Verdict {
  const level = verdictLevel(findings);
  return { level, sentence: sentence(document, found, level), findings };
}

function sentence(document: SwapDocument, found: PlanParts, level: Verdict["level"]): string {
  if (level === "do not use") {
    return "The planned table is not safe to use, and none was written; the findings say what to change.";
  }
  const { scenarios } = found.headroom;
  const fit = scenarios.filter((scenario) => scenario.state !== "over");
  const over = scenarios.filter((scenario) => scenario.state === "over");
  const table = `The new table covers ${over.length === 0 ? "every demand" : fit.length === 0 ? "none of the demands" : `'${fit.at(-1)?.name}' but not '${over[0]?.name}'`}`;
  const typical = uncertaintyAtHigh(document, found.airflow);
  return `${table}; at high flow its standard uncertainty is ${percent(typical, 2)}, ${
    level === "ready"
      ? "enough for a first start, not for a finished calibration"
      : "and a decision is needed before the first start"
  }.`;
}

/** Largest standard uncertainty among the high-flow cells that a scenario reaches [1]. */
function uncertaintyAtHigh(document: SwapDocument, airflow: AirflowPlan): number {
  const high = airflow.cells.filter((cell) => cell.flow >= document.safety.highFlowFrom);
  return (high.length > 0 ? high : airflow.cells).reduce((most, cell) => Math.max(most, cell.u), 0);
}

/** The three main figures: share of the signal and flow left at the governing demand, and the uncertainty at high flow. */
export function planKeyFigures(document: SwapDocument, found: PlanParts): readonly KeyFigure[] {
  const { scenarios } = found.headroom;
  const governing = scenarios.reduce((a, b) => (b.share > a.share ? b : a));
  const spread = 1.96 * Math.hypot(governing.u, uncertaintyAtHigh(document, found.airflow));
  const span = found.headroom.usable;
  // The share's interval follows from the flow's by the slope of the table there.
  const { cells } = found.airflow;
  const shareAt = (flow: number): number => {
    const k = Math.max(
      1,
      cells.findIndex((cell) => cell.wanted >= flow),
    );
    const right = cells[k] ?? cells[cells.length - 1];
    const left = cells[k - 1] ?? right;
    if (left === undefined || right === undefined) return Number.NaN;
    const slope = (right.signal - left.signal) / (right.wanted - left.wanted);
    return (left.signal + slope * (flow - left.wanted) - span.from) / (span.to - span.from);
  };
  const typical = uncertaintyAtHigh(document, found.airflow);
  const before =
    governing.before === null ? "" : ` With the present meter: ${percent(governing.before.share)}.`;
  return [
    {
      name: `Signal used by '${governing.name}'`,
      value: 100 * governing.share,
      low: 100 * shareAt(governing.demand * (1 - spread)),
      high: 100 * shareAt(governing.demand * (1 + spread)),
      unit: "%",
      meaning: `Of the usable signal; 100 % is its end.${before}`,
    },
    {
      name: "Flow left above it",
      value: (100 * governing.flowLeft) / governing.demand,
      low: 100 * ((1 + governing.flowLeft / governing.demand) * (1 - spread) - 1),
      high: 100 * ((1 + governing.flowLeft / governing.demand) * (1 + spread) - 1),
      unit: "%",
      meaning: `Flow that the meter can measure above the demand. Probability that the demand exceeds the table: ${chance(governing.chanceOver)}.`,
    },
    {
      name: "Uncertainty at high flow",
      value: 100 * typical,
      low: null,
      high: null,
      unit: "%",
      meaning: `Standard uncertainty of the least certain cell above ${inUnit(document.safety.highFlowFrom, found.units.flow, "mass flow")}.`,
    },
  ];
}
