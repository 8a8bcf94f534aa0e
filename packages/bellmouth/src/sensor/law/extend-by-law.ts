import { BellmouthError, requireNumber } from "../../fault/index.js";
import { makeTransferCurve, type TransferCell, type TransferCurve } from "../transfer-curve.js";
import { evaluateLaw } from "./evaluate-law.js";
import { logFlow } from "./law-curve.js";
import type { TransferLaw } from "./transfer-law.js";

/**
 * Adds cells that a law gives, between a curve's cells (origin "fitted") or past them (origin and flag
 * "extrapolated"), each with the law's uncertainty in its budget beside its nearest cell's own.
 *
 * The cells seldom lie on the law exactly, and neighbours miss it alike. A new cell therefore takes over as much of its
 * neighbours' departure from the law as the cells show to be shared at that distance, and no more; without that an
 * extension would start with a step.
 *
 * @param curve   the table; cells without flow are left as they are and say nothing of the law
 * @param law     law of the same signal
 * @param signals where cells are wanted [Hz] or [V]; those the curve already has are passed over
 * @throws `E_DOMAIN` on NaN, `E_OUTSIDE` where the law has no value, `E_ORDER` when the law's value would not rise
 *   between its neighbours, `E_TOO_LITTLE_DATA` with fewer than two cells that have flow
 */
export function extendByLaw(
  curve: TransferCurve,
  law: TransferLaw,
  signals: readonly number[],
): TransferCurve {
  const cells = [...curve.cells, ...lawCells(curve, law, signals)].sort((a, b) => a.signal - b.signal);
  return makeTransferCurve({ signal: curve.signal, outside: curve.outside, cells });
}

/**
 * The cells that `extendByLaw` adds, whether or not they rise with those of the curve.
 *
 * @param signals where cells are wanted [Hz] or [V]
 * @throws `E_DOMAIN` on NaN, `E_OUTSIDE` where the law has no value
 */
export function lawCells(
  curve: TransferCurve,
  law: TransferLaw,
  signals: readonly number[],
): readonly TransferCell[] {
  const known = departures(curve, law);
  const first = known[0] as Departure;
  const last = known[known.length - 1] as Departure;
  const shared = sharing(known);
  const have = new Set(curve.cells.map((cell) => cell.signal));
  return [...new Set(signals)]
    .filter((signal, i) => !have.has(requireNumber(signal, `signals[${i}]`, "Hz or V", { from: 0 })))
    .map((signal): TransferCell => {
      const value = evaluateLaw(law, signal);
      const { offset, explained } = predictDeparture(known, shared, signal);
      const { parameters, form, growth, scatter } = value.parts;
      const u = Math.hypot(parameters, form, growth, scatter * Math.sqrt(1 - explained));
      const beyond = value.extrapolated || signal < first.signal || signal > last.signal;
      const near = nearest(known, signal).cell.budget;
      return {
        signal,
        flow: value.flow * Math.exp(offset),
        origin: beyond ? "extrapolated" : "fitted",
        budget: { ...near, law: Math.hypot(near.law ?? 0, u) },
        flags: beyond ? ["extrapolated"] : [],
      };
    });
}

/**
 * Puts the law's value in place of cells: of the outliers that the law names, or of all that have flow.
 *
 * @param options cells: "outliers" or "all"
 * @throws as `extendByLaw`
 */
export function smoothByLaw(
  curve: TransferCurve,
  law: TransferLaw,
  options: { readonly cells: "outliers" | "all" },
): TransferCurve {
  const outliers = new Set(law.residuals.filter((point) => point.outlier).map((point) => point.signal));
  return makeTransferCurve({
    signal: curve.signal,
    outside: curve.outside,
    cells: curve.cells.map((cell): TransferCell => {
      if (!(cell.flow > 0) || (options.cells === "outliers" && !outliers.has(cell.signal))) return cell;
      const { flow, u } = evaluateLaw(law, cell.signal);
      return {
        ...cell,
        flow,
        origin: "fitted",
        budget: { ...cell.budget, law: Math.hypot(cell.budget.law ?? 0, u) },
      };
    }),
  });
}

/** A cell and by how much it departs from the law, ln(cell) - ln(law). */
interface Departure {
  readonly signal: number;
  readonly offset: number;
  readonly cell: TransferCell;
}

function departures(curve: TransferCurve, law: TransferLaw): Departure[] {
  const known = curve.cells
    .filter((cell) => cell.flow > 0)
    .map((cell) => ({
      signal: cell.signal,
      offset: Math.log(cell.flow) - logFlow(law.curve, cell.signal),
      cell,
    }))
    .filter((entry) => Number.isFinite(entry.offset));
  if (known.length < 2) {
    throw new BellmouthError({
      code: "E_TOO_LITTLE_DATA",
      message: "a law can extend a curve only from cells that it describes",
      found: `${known.length} cells with flow where the law has a value`,
      accepted: "two or more",
      at: { path: "curve.cells" },
    });
  }
  return known;
}

interface Sharing {
  /** correlation of the departures of neighbouring cells, 0 to 0.95 [1] */
  readonly neighbours: number;
  /** mean distance of neighbouring cells [Hz] or [V] */
  readonly distance: number;
}

function sharing(known: readonly Departure[]): Sharing {
  let together = 0;
  let alone = 0;
  known.forEach((entry, i) => {
    alone += entry.offset ** 2;
    together += entry.offset * (known[i + 1]?.offset ?? 0);
  });
  const n = known.length;
  const correlation = alone > 0 ? (together / (n - 1)) * (n / alone) : 0;
  return {
    neighbours: Math.min(Math.max(correlation, 0), 0.95),
    distance: ((known[n - 1] as Departure).signal - (known[0] as Departure).signal) / (n - 1),
  };
}

/**
 * Departure expected at a signal from the cells to its left and right, when correlation falls off exponentially with
 * distance (only the two neighbours then matter), and the share of variance that they explain.
 *
 * @source N. A. C. Cressie, Statistics for Spatial Data (1993), 3.1 (simple kriging)
 */
function predictDeparture(
  known: readonly Departure[],
  { neighbours, distance }: Sharing,
  signal: number,
): { readonly offset: number; readonly explained: number } {
  let right = known.findIndex((entry) => entry.signal > signal);
  if (right < 0) right = known.length;
  const a = known[right - 1];
  const b = known[right];
  const with_ = (entry: Departure | undefined): number =>
    entry === undefined ? 0 : neighbours ** (Math.abs(entry.signal - signal) / distance);
  const ra = with_(a);
  const rb = with_(b);
  const rab = ra * rb;
  const wa = (ra - rb * rab) / (1 - rab * rab);
  const wb = (rb - ra * rab) / (1 - rab * rab);
  return {
    offset: wa * (a?.offset ?? 0) + wb * (b?.offset ?? 0),
    explained: Math.min(1, Math.max(0, wa * ra + wb * rb)),
  };
}

const nearest = (known: readonly Departure[], signal: number): Departure =>
  known.reduce((best, entry) =>
    Math.abs(entry.signal - signal) < Math.abs(best.signal - signal) ? entry : best,
  );
