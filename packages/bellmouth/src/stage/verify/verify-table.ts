import type { VerifyDocument } from "../../document/index.js";
import { type ExecutedTable, executedTable, pairsOf } from "../../drive/index.js";
import { figure, unitScale, unitSign } from "../../text/index.js";
import { CAUTIONS } from "../cautions.js";
import type { Finding } from "../result-parts.js";
import { howTyped } from "./how-typed.js";
import type { VerifyResult } from "./result.js";

/** Cells that all differ by the same share, this closely, are one other table and not many typing errors [1]. */
const ALIKE = 0.005;

/**
 * Holds the flow that an ECU reports against the table that was meant to be typed in.
 *
 * @param document as `readDocument` gives it, SI
 * @returns each cell with what the ECU executes there, what was probably typed, and what happens past the ends
 */
export function verifyTable(document: VerifyDocument): VerifyResult {
  const { table, former } = document;
  const { lag, told } = tableOfLog(document);
  const { factor } = unitScale(table.units.flow, "mass flow");
  const typed = (flow: number | undefined): number | undefined =>
    flow === undefined ? undefined : flow / factor;
  const cells = told.cells.map((cell, k): VerifyResult["cells"][number] => {
    const meant = table.flow[k] as number;
    const executed = cell.state === "not driven" ? meant : meant + cell.difference;
    const sameSignal =
      former?.signal.findIndex((signal) => Math.abs(signal - (table.signal[k] as number)) < 1e-9) ?? -1;
    return {
      signal: table.signal[k] as number,
      meant,
      executed,
      u: cell.u,
      limit: cell.limit,
      state: cell.state,
      how:
        cell.state !== "differs"
          ? ""
          : howTyped({
              meant: meant / factor,
              executed: executed / factor,
              within: cell.limit / factor,
              before: typed(table.flow[k - 1]),
              after: typed(table.flow[k + 1]),
              former: sameSignal < 0 ? undefined : typed(former?.flow[sameSignal]),
            }),
    };
  });
  const ends = { stated: document.outside, below: told.below, above: told.above };
  return {
    bellmouth: "verify 1",
    title: document.title,
    signal: table.signalKind,
    units: table.units,
    verdict: verdictOf(document, cells, ends, told),
    cautions: CAUTIONS,
    cells,
    ends,
    lag,
    used: told.used,
    pairs: told.pairs,
    log: document.reading,
  };
}

/** Rounds in which the lag of the reported flow is found. */
const LAG_ROUNDS = 5;

/** Pairs made at a lag tell what is left of it; from round to round it settles. */
function tableOfLog({ table, signal, airflow }: VerifyDocument): { lag: number; told: ExecutedTable } {
  const at = (lag: number): ExecutedTable =>
    executedTable(table.signal, table.flow, pairsOf(signal, airflow, lag));
  const most = 2 * Math.max(signal.refresh, airflow.refresh);
  let lag = 0;
  let told = at(lag);
  for (let round = 0; round < LAG_ROUNDS && Math.abs(told.lag) > most / 100; round++) {
    lag = Math.min(most, Math.max(-most, lag + told.lag));
    told = at(lag);
  }
  return { lag, told };
}

function verdictOf(
  document: VerifyDocument,
  cells: VerifyResult["cells"],
  ends: VerifyResult["ends"],
  told: ExecutedTable,
): VerifyResult["verdict"] {
  const { units } = document.table;
  const flow = (si: number): string =>
    `${figure(si / unitScale(units.flow, "mass flow").factor)} ${unitSign(units.flow)}`;
  const kind = document.table.signalKind;
  const signal = (si: number): string =>
    `${figure(si / unitScale(units.signal, kind).factor)} ${unitSign(units.signal)}`;
  const indexed = cells.map((cell, index) => ({ ...cell, index }));
  const wrong = indexed.filter((cell) => cell.state === "differs");
  const rounded = wrong.filter((cell) => cell.how.startsWith("rounded"));
  const undriven = indexed.filter((cell) => cell.state === "not driven");
  const driven = cells.length - undriven.length;
  const shares = wrong.map((cell) => cell.executed / cell.meant - 1).sort((a, b) => a - b);
  const middle = shares[shares.length >> 1] ?? 0;
  const common =
    wrong.length >= 4 &&
    wrong.length >= 0.8 * driven &&
    shares.every((share) => Math.abs(share - middle) <= ALIKE);
  const findings: Finding[] = [];
  if (common) {
    findings.push({
      level: "danger",
      code: "all-by-one-share",
      text: `Every driven cell differs by ${figure(100 * middle)} %: a scale in the ECU, another unit in the log or another table, rather than typing errors.`,
    });
  } else {
    for (const cell of wrong) {
      const off = 100 * (cell.executed / cell.meant - 1);
      findings.push({
        level: rounded.includes(cell) && Math.abs(off) < 1 ? "note" : "danger",
        code: "cell-differs",
        text: `At ${signal(cell.signal)} the ECU executes ${flow(cell.executed)} (95 %: ${flow(cell.executed - 1.96 * cell.u)} to ${flow(cell.executed + 1.96 * cell.u)}) where ${flow(cell.meant)} was meant, ${figure(Math.abs(off))} % ${off < 0 ? "low, which is lean" : "high"}: ${cell.how}.`,
        cells: [cell.index],
      });
    }
  }
  for (const [side, does] of [
    ["below", ends.below],
    ["above", ends.above],
  ] as const) {
    if (does === ends.stated || does === "not driven") continue;
    findings.push({
      level: "danger",
      code: "end-differs",
      text: `Past the ${side === "below" ? "lower" : "upper"} end the ECU ${does === "hold" ? "holds the end value" : does === "extend" ? "carries the end segment on" : "does neither: it neither holds the end value nor carries the segment on"}, and the document says ${ends.stated}.`,
    });
  }
  if (undriven.length > 0) {
    findings.push({
      level: "caution",
      code: "not-driven",
      text: `${undriven.length} of ${cells.length} cells were not driven enough to be verified: ${spansOf(
        undriven.map((cell) => cell.index),
        (k) => signal(cells[k]?.signal ?? 0),
      )}. Read those back from the ECU.`,
      cells: undriven.map((cell) => cell.index),
    });
  }
  const bad = findings.some((finding) => finding.level === "danger");
  return {
    level: bad ? "do not use" : undriven.length > 0 ? "decision needed" : "ready",
    sentence:
      driven === 0
        ? `No cell could be verified: of ${told.pairs} pairs of signal and airflow ${told.used} were steady and inside the table.`
        : `${driven} of ${cells.length} cells were driven; ${wrong.length - rounded.length} of them differ from what was meant and ${rounded.length} were rounded otherwise.`,
    findings,
  };
}

/** Neighbouring cells as spans: `2.0 kHz; 8.1 to 9.0 kHz`. */
function spansOf(indices: readonly number[], name: (index: number) => string): string {
  const spans: [number, number][] = [];
  for (const index of indices) {
    const open = spans.at(-1);
    if (open !== undefined && index === open[1] + 1) open[1] = index;
    else spans.push([index, index]);
  }
  return spans.map(([from, to]) => (from === to ? name(from) : `${name(from)} to ${name(to)}`)).join("; ");
}
