import type { RefineDocument } from "../../document/index.js";
import {
  emptySums,
  evidenced,
  fuelScaleFrom,
  mergeSums,
  type RefineResult,
  solveRefinement,
  untoldScale,
} from "../../drive/index.js";
import { BellmouthError } from "../../fault/index.js";
import { inUnit, percent } from "../../text/index.js";
import { CAUTIONS } from "../cautions.js";
import type { Finding, KeyFigure, Verdict } from "../result-parts.js";
import { verdictLevel, worstFirst } from "../verdict-level.js";
import { type LogOutcome, refineOptions } from "./refine-logs.js";
import type { RefineReport } from "./result.js";

/**
 * Refines the document's table from what its logs told.
 *
 * @param outcomes one for each of `document.logs`, in any order
 * @param old      one for each of the old meter's logs
 * @returns plain JSON-ready data in SI
 * @throws `E_SHAPE` when an outcome is about another table
 */
export function refineFromLogs(
  document: RefineDocument,
  outcomes: readonly LogOutcome[],
  old: readonly LogOutcome[] = [],
): RefineReport {
  const sums = outcomes.map((one) => one.sums).reduce(mergeSums, emptySums(document.curve));
  const fuelScale = oldScale(document, old);
  const refinement = solveRefinement(document.curve, sums, {
    ...refineOptions(document),
    ...(fuelScale === null ? {} : { fuelScale }),
  });
  const verdict = verdictOf(document, refinement, fuelScale);
  return {
    bellmouth: "refine 1",
    title: document.title,
    signal: document.curve.signal,
    units: { flow: document.units.flow, signal: document.units.signal },
    verdict,
    keyFigures: keyFiguresOf(refinement, fuelScale),
    cautions: CAUTIONS,
    refinement,
    fuelScale,
    logs: outcomes.map((one) => one.log),
    oldMeter:
      document.oldMeter === null
        ? null
        : {
            logs: old.map((one) => one.log),
            drives: old.flatMap((one) => one.sums.drives.map(({ summary }) => summary)),
          },
  };
}

function oldScale(document: RefineDocument, old: readonly LogOutcome[]): RefineReport["fuelScale"] {
  if (document.oldMeter === null) return null;
  const { curve } = document.oldMeter;
  if (old.length === 0)
    throw new BellmouthError({
      code: "E_TOO_LITTLE_DATA",
      message: "the old meter's drives were not read",
      accepted: "an outcome for each of the old meter's logs",
      at: { path: "present-meter.logs" },
    });
  return fuelScaleFrom(curve, old.map((one) => one.sums).reduce(mergeSums, emptySums(curve)));
}

function verdictOf(
  document: RefineDocument,
  result: RefineResult,
  fuelScale: RefineReport["fuelScale"],
): Verdict {
  const findings: Finding[] = result.findings.map(({ code, level, text, cells }) => ({
    level,
    code: code.replaceAll(" ", "-"),
    text,
    cells,
  }));
  for (const drive of result.drives)
    if (drive.refused !== null && drive.refused.reason !== "lambda stands still" && result.drives.length > 1)
      findings.push({
        level: "caution",
        code: "drive-refused",
        text: `${drive.name} was not used. ${drive.refused.text}`,
        cells: [],
      });
  if (fuelScale !== null)
    findings.push({
      level: "note",
      code: "fuel-side",
      text: `The drives with the old meter put ${percent(Math.expm1(fuelScale.value), 2)} (95 %: ${percent(Math.expm1(fuelScale.value - 1.96 * fuelScale.u), 2)} to ${percent(Math.expm1(fuelScale.value + 1.96 * fuelScale.u), 2)}) of the correction on the fuel's side: injectors, fuel pressure or the fuel itself. It is not in the table. The uncertainty is mostly that of the old meter's table, and every cell carries it.`,
      cells: [],
    });
  findings.push(...railFindings(document, result));
  const silent = result.curve.cells.flatMap((cell, i) => (cell.flags.includes("no evidence") ? [i] : []));
  if (silent.length > 0)
    findings.push({
      level: "note",
      code: "no-evidence",
      text: `${silent.length} of ${result.cells.length} cells were not driven; they moved only as far as the driven cells say of them, and their uncertainty is nearly the plan's.`,
      cells: silent,
    });
  const level = verdictLevel(findings);
  return { level, sentence: sentenceOf(document, result, level), findings: worstFirst(findings) };
}

/** What the guard rails held back: a table that meets the largest change is not to be used, whatever the reason. */
function railFindings(document: RefineDocument, result: RefineResult): Finding[] {
  const held = (by: string): number[] => result.cells.flatMap((cell, i) => (cell.held === by ? [i] : []));
  const out: Finding[] = [];
  const change = held("largest change");
  if (change.length > 0)
    out.push({
      level: "danger",
      code: "guard-rails",
      text: `${change.length} ${change.length === 1 ? "cell asks" : "cells ask"} for more than the largest change in one pass (${percent(document.largestChange)}). Find out why first: a leak, the bore, the donor's table, the element, fuel pressure. Where the change is meant, state a larger 'largest-change'.`,
      cells: change,
    });
  const order = held("order");
  if (order.length > 0)
    out.push({
      level: "caution",
      code: "order",
      text: `${order.length} ${order.length === 1 ? "cell was" : "cells were"} moved so that the table rises from cell to cell: the drives contradict each other there, or say too little.`,
      cells: order,
    });
  const lean = held("uncertain lean move");
  if (lean.length > 0)
    out.push({
      level: "note",
      code: "uncertain-lean-move",
      text: `${lean.length} ${lean.length === 1 ? "cell" : "cells"} would have been leaned on weak evidence and ${lean.length === 1 ? "was" : "were"} held back.`,
      cells: lean,
    });
  return out;
}

function sentenceOf(document: RefineDocument, result: RefineResult, level: Verdict["level"]): string {
  if (result.findings.some(({ code }) => code === "nothing usable"))
    return "No drive could be used, and the table stays as it is.";
  if (level === "do not use")
    return "The drives ask for more than one pass may change: find the cause before a table is typed in.";
  const spoken = result.cells.filter(evidenced);
  if (spoken.length === 0) return "The drives say too little about any cell to correct it.";
  const largest = spoken.reduce((a, b) =>
    Math.abs(Math.log(b.after / b.before)) > Math.abs(Math.log(a.after / a.before)) ? b : a,
  );
  const change = largest.after / largest.before - 1;
  const converged = result.findings.some(({ code }) => code === "converged");
  const at = inUnit(largest.before, document.units.flow, "mass flow");
  return converged
    ? `The table is converged: ${spoken.length} of ${result.cells.length} cells were driven and none asks for more than ${percent(Math.abs(change))}.`
    : `${spoken.length} of ${result.cells.length} cells were driven; the largest correction is ${change > 0 ? "+" : ""}${percent(change)} at ${at}.`;
}

function keyFiguresOf(result: RefineResult, fuelScale: RefineReport["fuelScale"]): KeyFigure[] {
  const spoken = result.cells.filter(evidenced);
  const changes = spoken.map((cell) => cell.after / cell.before - 1);
  const rms = Math.sqrt(changes.reduce((sum, c) => sum + c * c, 0) / Math.max(1, changes.length));
  const widest = spoken.reduce((most, cell) => Math.max(most, 1.96 * cell.u), 0);
  const value = result.common.value - (fuelScale?.value ?? 0);
  const u = Math.hypot(result.common.u, fuelScale?.u ?? untoldScale);
  return [
    {
      name: "Correction, rms over driven cells",
      value: 100 * rms,
      low: null,
      high: null,
      unit: "%",
      meaning: "How far the table was from what the drives say.",
    },
    {
      name: "Common to all driven cells",
      value: 100 * Math.expm1(value),
      low: 100 * Math.expm1(value - 1.96 * u),
      high: 100 * Math.expm1(value + 1.96 * u),
      unit: "%",
      meaning:
        fuelScale === null
          ? "Air or fuel: lambda cannot tell which, a drive with the old meter can."
          : "The air's part; what the old meter's drives put on the fuel's side is taken off.",
    },
    {
      name: "Least certain driven cell, to within",
      value: 100 * widest,
      low: null,
      high: null,
      unit: "%",
      meaning: "Half the width of its 95 % interval.",
    },
  ];
}
