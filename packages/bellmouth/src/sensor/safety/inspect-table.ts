import { type Curve, curveEvaluator, makeCurve } from "../../curve/index.js";
import { BellmouthError, requireNumber } from "../../fault/index.js";
import type { MassFlow } from "../../units/index.js";
import { firstAtLeast, uncertaintyAt } from "../headroom/usable-signal.js";
import { asCurve, type CellFlag, type TransferCell, type TransferCurve } from "../transfer-curve.js";

/** A table as an ECU will hold it; not yet known to be sound, so flows may repeat or fall. */
export type ExecutedTable = Pick<TransferCurve, "signal" | "outside" | "cells">;

export interface InspectOptions {
  /** flows from here on count as high, where lean is dangerous [kg/s] */
  readonly highFlowFrom: MassFlow;
  /** What a table that reads low at high flow deserves. No default: it is the user's risk. */
  readonly readsLow: "mark" | "danger";
}

/** One thing wrong with a table. */
export interface TableFinding {
  readonly code: "not-increasing" | "unflagged-extrapolation" | "reads-low";
  readonly level: "danger" | "mark";
  /** Indices of the table's cells it concerns. */
  readonly cells: readonly number[];
  /** Where it is worst [Hz] or [V]. */
  readonly signal: number;
  /** How bad it is there [1]: executed over wanted flow less one; for cells out of order, the step over the cell's flow. */
  readonly worst: number;
}

export interface TableInspection {
  /** True when a finding refuses the table: it must not be written for use. */
  readonly refused: boolean;
  readonly findings: readonly TableFinding[];
  /** The table's cells with the flags that the findings add. */
  readonly cells: readonly TransferCell[];
  /** Lowest executed over wanted flow less one [1] from `highFlowFrom` on, and where; null when nothing lies there. */
  readonly lowest: { readonly signal: number; readonly error: number } | null;
}

/**
 * Looks over a table as the ECU will execute it, before anyone drives on it. Refused: flows that are not strictly
 * increasing, and cells past the measured ones that do not say so. Marked or refused, as chosen: at high flow, cells
 * whose executed lines read lower than the wanted curve by more than its own standard uncertainty there, which is lean.
 * The lines are compared at every breakpoint of either curve; between those their ratio has no extremes.
 *
 * @param wanted what the table should say, with origins and budgets; finer than the table where that matters
 * @param table  as stored: rounded, clipped, biased
 * @param options high flow [kg/s] and the choice for tables that read low
 * @throws `E_SIGNAL_KIND` when one is over volts and the other over hertz; `E_SHAPE`, `E_ORDER`, `E_DOMAIN` on a table whose
 *   breakpoints do not rise or that holds no numbers
 */
export function inspectTable(
  wanted: TransferCurve,
  table: ExecutedTable,
  options: InspectOptions,
): TableInspection {
  requireNumber(options.highFlowFrom, "options.highFlowFrom", "kg/s", { from: 0 });
  if (wanted.signal !== table.signal) {
    throw new BellmouthError({
      code: "E_SIGNAL_KIND",
      message: "the table is over another signal than the curve it should follow",
      found: table.signal,
      accepted: wanted.signal,
      at: { path: "table.signal" },
    });
  }
  const executed = makeCurve({
    x: { quantity: table.signal, values: table.cells.map(({ signal }) => signal) },
    y: { quantity: "mass flow", values: table.cells.map(({ flow }) => flow) },
    between: "straight",
    outside: table.outside,
  });
  const low = readsLow(wanted, table, executed, options);
  const findings = [notIncreasing(table), unflagged(wanted, table), low.finding].filter(
    (finding) => finding !== undefined,
  );
  const flagOf = {
    "not-increasing": "not increasing",
    "unflagged-extrapolation": "extrapolated",
    "reads-low": "reads low",
  } as const;
  const more = new Map<number, CellFlag[]>();
  for (const { cells, code } of findings) {
    for (const i of cells) more.set(i, [...(more.get(i) ?? []), flagOf[code]]);
  }
  return {
    refused: findings.some(({ level }) => level === "danger"),
    findings,
    cells: table.cells.map((cell, i) => ({
      ...cell,
      flags: [...new Set([...cell.flags, ...(more.get(i) ?? [])])],
    })),
    lowest: low.lowest,
  };
}

function notIncreasing(table: ExecutedTable): TableFinding | undefined {
  const steps = table.cells.map(
    (cell, i) => cell.flow - (table.cells[i - 1]?.flow ?? Number.NEGATIVE_INFINITY),
  );
  const cells = steps.flatMap((step, i) => (step > 0 ? [] : [i]));
  const worst = cells.reduce((a, b) => ((steps[b] as number) < (steps[a] as number) ? b : a), cells[0] ?? 0);
  const cell = table.cells[worst];
  if (cells.length === 0 || cell === undefined) return undefined;
  const step = steps[worst] as number;
  return {
    code: "not-increasing",
    level: "danger",
    cells,
    signal: cell.signal,
    worst: cell.flow > 0 ? step / cell.flow : 0,
  };
}

function unflagged(wanted: TransferCurve, table: ExecutedTable): TableFinding | undefined {
  const known = wanted.cells.filter(({ origin }) => origin !== "extrapolated");
  const first = known[0]?.signal ?? Number.POSITIVE_INFINITY;
  const last = known.at(-1)?.signal ?? Number.NEGATIVE_INFINITY;
  const outside = (signal: number): number => Math.max(0, first - signal, signal - last);
  const cells = table.cells.flatMap((cell, i) => {
    const past = cell.origin === "extrapolated" || outside(cell.signal) > 0;
    return past && !cell.flags.includes("extrapolated") ? [i] : [];
  });
  const far = cells
    .map((i) => table.cells[i] as TransferCell)
    .reduce<TransferCell | undefined>(
      (most, cell) => (most === undefined || outside(cell.signal) > outside(most.signal) ? cell : most),
      undefined,
    );
  if (far === undefined) return undefined;
  const distance = outside(far.signal);
  return {
    code: "unflagged-extrapolation",
    level: "danger",
    cells,
    signal: far.signal,
    worst: Number.isFinite(distance) && far.signal > 0 ? distance / far.signal : 0,
  };
}

function readsLow(
  wanted: TransferCurve,
  table: ExecutedTable,
  executed: Curve,
  options: InspectOptions,
): { finding: TableFinding | undefined; lowest: TableInspection["lowest"] } {
  const truth = curveEvaluator(asCurve(wanted));
  const reads = curveEvaluator(executed);
  const [from, to] = [wanted.cells[0]?.signal ?? 0, wanted.cells.at(-1)?.signal ?? 0];
  const last = table.cells.at(-1)?.signal ?? 0;
  const places = [...wanted.cells, ...table.cells]
    .map(({ signal }) => signal)
    // Above the table's end the ECU does what `outside` says: that is the headroom's business, not the table's.
    .filter((signal) => signal >= from && signal <= to && signal <= last && signal >= executed.x.values[0]!);
  const cells = new Set<number>();
  let lowest: TableInspection["lowest"] = null;
  let worst = { beyond: 0, signal: 0, error: 0 };
  for (const signal of places) {
    const flow = truth(signal);
    if (!(flow >= options.highFlowFrom) || flow === 0) continue;
    const error = reads(signal) / flow - 1;
    if (lowest === null || error < lowest.error) lowest = { signal, error };
    // A hair of rounding is not lean.
    const beyond = -error - uncertaintyAt(wanted, signal) - 1e-12;
    if (!(beyond > 0)) continue;
    if (beyond > worst.beyond) worst = { beyond, signal, error };
    const right = firstAtLeast(table.cells, signal);
    cells.add(right);
    if (table.cells[right]?.signal !== signal) cells.add(right - 1);
  }
  if (cells.size === 0) return { finding: undefined, lowest };
  return {
    finding: {
      code: "reads-low",
      level: options.readsLow,
      cells: [...cells].sort((a, b) => a - b),
      signal: worst.signal,
      worst: worst.error,
    },
    lowest,
  };
}
