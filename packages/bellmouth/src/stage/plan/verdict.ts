import type { SwapDocument } from "../../document/index.js";
import { chance, inUnit, limitWords, percent } from "../../text/index.js";
import type { Finding, KeyFigure, Verdict } from "../result-parts.js";
import { verdictLevel } from "../verdict-level.js";
import type { PlanParts } from "./findings.js";
import { LIMITS } from "./limits.js";

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
  const over = scenarios.filter(({ chanceOver }) => chanceOver >= LIMITS.chance);
  const fit = scenarios.filter((scenario) => !over.includes(scenario));
  const table = `The new table covers ${over.length === 0 ? "every demand" : fit.length === 0 ? "none of the demands" : `'${fit.at(-1)?.name}' but not '${over[0]?.name}'`}`;
  const typical = uncertaintyAtHigh(document, found);
  return `${table}; at high flow its 95 % interval is ${percent(1.96 * typical, 2)} either way. ${
    level === "ready"
      ? "It may be typed in for a first start and gentle driving, not for full throttle"
      : "A decision is needed before the first start"
  }.`;
}

/** Largest standard uncertainty among the high-flow cells that a scenario reaches, or among those it reaches at all [1]. */
function uncertaintyAtHigh(document: SwapDocument, { airflow, headroom }: PlanParts): number {
  const reached = airflow.cells.filter((_, i) => (headroom.cells[i]?.reachedBy.length ?? 0) > 0);
  const high = reached.filter((cell) => cell.flow >= document.safety.highFlowFrom);
  return (high.length > 0 ? high : reached).reduce((most, { u }) => Math.max(most, u), 0);
}

/** The three main figures: share of the signal and flow left at the governing demand, and the uncertainty at high flow. */
export function planKeyFigures(document: SwapDocument, found: PlanParts): readonly KeyFigure[] {
  const { scenarios } = found.headroom;
  const governing = scenarios.reduce((a, b) => (b.share > a.share ? b : a));
  const spread = 1.96 * Math.hypot(governing.u, uncertaintyAtHigh(document, found));
  const span = found.headroom.usable;
  // The share's interval follows from the flow's along the table's own lines; past its end nothing is known.
  const { cells } = found.airflow;
  const shareAt = (flow: number): number | null => {
    const k = cells.findIndex((cell) => cell.wanted >= flow);
    const right = cells[k];
    const left = cells[Math.max(0, k - 1)];
    if (left === undefined || right === undefined) return null;
    const rise = right.wanted - left.wanted;
    const signal =
      rise > 0 ? left.signal + ((right.signal - left.signal) * (flow - left.wanted)) / rise : right.signal;
    return (signal - span.from) / (span.to - span.from);
  };
  const percentOf = (share: number | null): number | null => (share === null ? null : 100 * share);
  const low = shareAt(governing.demand * (1 - spread));
  const high = shareAt(governing.demand * (1 + spread));
  const top = cells[cells.length - 1];
  const beyond = top !== undefined && governing.demand > top.wanted;
  const end = `${inUnit(span.to, found.units.signal, document.signal, 4)} (${limitWords(span.limitedBy)})`;
  const carriedOn =
    document.airflow.outside === "extend"
      ? " There the engine computer carries its last line on, where nothing is calibrated."
      : " There the engine computer holds its last value and reads low.";
  const past = beyond
    ? ` The demand itself lies past the end of the table.${carriedOn}`
    : high === null
      ? ` The upper end of its 95 % interval lies past the end of the table.${carriedOn}`
      : "";
  const typical = uncertaintyAtHigh(document, found);
  const before =
    governing.before === null ? "" : ` With the present meter: ${percent(governing.before.share)}.`;
  return [
    {
      name: `Signal used by '${governing.name}'`,
      // No further than the table goes: past it the last line says nothing of the sensor.
      value: 100 * (beyond ? (top.signal - span.from) / (span.to - span.from) : governing.share),
      low: percentOf(low),
      high: percentOf(high),
      unit: "%",
      meaning: `Of the usable signal, which ends at ${end}.${past}${before}`,
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
