import { BellmouthError, requireNumber } from "../../fault/index.js";
import { type MovedCell, madeRising } from "../safety/made-rising.js";
import { combinedUncertainty, makeTransferCurve, type TransferCurve } from "../transfer-curve.js";
import { type LawChoice, type LawUse, lawChooser } from "./choose-law.js";
import { lawCells } from "./extend-by-law.js";
import type { LawPoint } from "./transfer-law.js";

export type ExtendOptions = {
  /** Chooser made before by `lawChooser` from the curve's cells with flow, so that its fits are not made again. */
  readonly choose?: (use: LawUse) => LawChoice;
} & ExtendTo;

type ExtendTo =
  | { /** where cells are wanted [Hz] or [V] */ readonly signals: readonly number[] }
  | {
      /** signal to carry the table on to, past its last cell or below its first [Hz] or [V] */
      readonly toSignal: number;
      /** distance of the new cells [Hz] or [V]; about that of the cells at that end when left out */
      readonly step?: number;
    };

export interface ExtendedCurve {
  readonly curve: TransferCurve;
  /** the laws that were chosen, and what they were chosen from, by what they were used for */
  readonly laws: { readonly [use in LawUse]?: LawChoice };
  /** cells of `curve` moved within their uncertainty because scatter had them fall against a neighbour */
  readonly moved: readonly MovedCell[];
}

/** Most cells that one call adds. */
const MOST = 100_000;

/**
 * Fills gaps of a table and carries it past its ends by laws fitted to its own cells. New cells are marked "fitted" or
 * "extrapolated"; the laws used are in the result. Where a cell and its neighbour scatter past each other, both are moved
 * within their uncertainty, and told.
 *
 * @param curve table with at least five cells that have flow
 * @throws `E_TOO_LITTLE_DATA`, `E_SINGULAR` when no law fits, `E_OUTSIDE` as `extendByLaw`, `E_ORDER` when cells fall by more than three of their uncertainties, `E_DOMAIN` on
 *   NaN and steps that are not above zero, `E_TOO_LARGE` past 100,000 new cells
 */
export function extendTransferCurve(curve: TransferCurve, options: ExtendOptions): ExtendedCurve {
  const cells = curve.cells.filter((cell) => cell.flow > 0);
  const first = cells[0]?.signal ?? 0;
  const last = cells[cells.length - 1]?.signal ?? 0;
  const signals = "signals" in options ? options.signals : steps(curve, options.toSignal, options.step);
  // A NaN would fall between all three uses and be lost.
  signals.forEach((signal, i) => {
    requireNumber(signal, `signals[${i}]`, "Hz or V", { from: 0 });
  });
  const uses: readonly [LawUse, readonly number[]][] = [
    ["within", signals.filter((signal) => signal >= first && signal <= last)],
    ["above", signals.filter((signal) => signal > last)],
    ["below", signals.filter((signal) => signal < first)],
  ];
  const points = cells.map((cell): LawPoint => ({ signal: cell.signal, flow: cell.flow }));
  const wanted = uses.some(([, some]) => some.length > 0);
  const choose = options.choose ?? (wanted ? lawChooser(points) : undefined);
  const laws: { [use in LawUse]?: LawChoice } = {};
  const added: TransferCurve["cells"][number][] = [];
  for (const [use, some] of uses) {
    if (some.length === 0 || choose === undefined) continue;
    const choice = choose(use);
    laws[use] = choice;
    added.push(...lawCells(curve, choice.law, some));
  }
  // Each law was held against the given cells only; sorting together keeps one law's cells from feeding another's.
  const all = [...curve.cells, ...added].sort((a, b) => a.signal - b.signal);
  const rising = madeRising(
    all.map((cell) => cell.signal),
    all.map((cell) => cell.flow),
    all.map((cell) => combinedUncertainty(cell.budget)),
  );
  const { signal, outside } = curve;
  // Too far apart for scatter: the fault names the cell.
  if (rising === undefined)
    return { curve: makeTransferCurve({ signal, outside, cells: all }), laws, moved: [] };
  const risen = all.map((cell, i) => ({ ...cell, flow: rising.flows[i] as number }));
  return { curve: { ...curve, cells: rising.moved.length === 0 ? all : risen }, laws, moved: rising.moved };
}

function steps(curve: TransferCurve, toSignal: number, step: number | undefined): number[] {
  requireNumber(toSignal, "toSignal", "Hz or V", { over: 0 });
  const cells = curve.cells.filter((cell) => cell.flow > 0).map((cell) => cell.signal);
  const up = toSignal > (cells[cells.length - 1] as number);
  const [end, next] = (up ? [...cells].reverse() : cells) as [number, number];
  if (!up && !(toSignal < end)) {
    throw new BellmouthError({
      code: "E_DOMAIN",
      message: "the table already covers this signal",
      found: String(toSignal),
      accepted: `below ${cells[0]} or above ${cells[cells.length - 1]}; name \`signals\` to fill gaps`,
      at: { path: "toSignal" },
    });
  }
  const size = requireNumber(step ?? Math.abs(end - next), "step", "Hz or V", { over: 0 });
  const count = Math.max(1, Math.round(Math.abs(toSignal - end) / size));
  if (count > MOST) {
    throw new BellmouthError({
      code: "E_TOO_LARGE",
      message: "too many cells asked for",
      found: `${count}`,
      accepted: `${MOST} or fewer: a larger step`,
      at: { path: "step" },
    });
  }
  return Array.from({ length: count }, (_, i) => end + ((toSignal - end) * (i + 1)) / count);
}
