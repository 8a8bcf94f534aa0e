import { evaluateCurve } from "../../curve/index.js";
import {
  asCurve,
  type ExtendedCurve,
  extendTransferCurve,
  type LawChoice,
  type LawUse,
  lawChooser,
  type TransferCell,
  type TransferCurve,
} from "../../sensor/index.js";

/** Fewest cells with flow that a law is chosen from. */
const LAW_CELLS = 5;
/** Relative standard uncertainty of a flow that stands for "the sensor puts out no such signal". */
const UNREACHED = 0.5;

/**
 * The element's table with a cell at every signal of the new table's axis: its own where it has one, by law between
 * and past its cells. A table too short for a law is read between its cells along a monotone cubic, and refused past them.
 *
 * An axis may start at 0 Hz or 0 V, below any signal the sensor puts out. There a law has no flow; such cells lie on
 * the line to zero, are flagged "extrapolated", and are as uncertain as they look.
 *
 * @throws `E_TOO_LITTLE_DATA` when a short table does not cover the axis
 */
export function ontoAxis(source: TransferCurve, axis: readonly number[]): ExtendedCurve {
  const flowing = source.cells.filter((cell) => cell.flow > 0);
  const first = source.cells[0] as TransferCell;
  const last = source.cells[source.cells.length - 1] as TransferCell;
  const covered = axis.every((signal) => signal >= first.signal && signal <= last.signal);
  if (covered && flowing.length < LAW_CELLS) return { curve: alongCubic(source, axis), laws: {}, moved: [] };
  // One chooser for all uses: they share their fits.
  const choose =
    flowing.length < LAW_CELLS
      ? undefined
      : lawChooser(flowing.map(({ signal, flow }) => ({ signal, flow })));
  const { reached, unreached } = split(source, axis, choose);
  const extended = extendTransferCurve(source, {
    signals: reached,
    ...(choose === undefined ? {} : { choose }),
  });
  if (unreached.length === 0) return extended;
  const lowest = extended.curve.cells.find((cell) => cell.flow > 0 && cell.signal > 0) as TransferCell;
  const toZero = unreached.map(
    (signal): TransferCell => ({
      signal,
      flow: (lowest.flow * signal) / lowest.signal,
      origin: "extrapolated",
      budget: { ...lowest.budget, law: UNREACHED },
      flags: ["extrapolated"],
    }),
  );
  return { ...extended, curve: { ...extended.curve, cells: [...toZero, ...extended.curve.cells] } };
}

/** Axis signals below the point where the law that extends the table downwards starts to rise, and the others. */
function split(
  source: TransferCurve,
  axis: readonly number[],
  choose: ((use: LawUse) => LawChoice) | undefined,
): { readonly reached: readonly number[]; readonly unreached: readonly number[] } {
  const start = (source.cells[0] as TransferCell).signal;
  if (choose === undefined || axis.every((signal) => signal >= start))
    return { reached: axis, unreached: [] };
  const floor = choose("below").law.rising.from;
  const below = (signal: number): boolean => signal < start && !(signal > floor);
  return { reached: axis.filter((signal) => !below(signal)), unreached: axis.filter(below) };
}

function alongCubic(source: TransferCurve, axis: readonly number[]): TransferCurve {
  const cubic = { ...asCurve(source), between: "monotone cubic" } as const;
  const straight = asCurve(source);
  const have = new Set(source.cells.map((cell) => cell.signal));
  const fresh = axis
    .filter((signal) => !have.has(signal))
    .map((signal): TransferCell => {
      const flow = evaluateCurve(cubic, signal);
      const near = source.cells.reduce((a, b) =>
        Math.abs(b.signal - signal) < Math.abs(a.signal - signal) ? b : a,
      );
      // What is not known between two cells is of the order of how far two fair readings of them differ.
      const doubt = Math.abs(evaluateCurve(straight, signal) / flow - 1);
      return { signal, flow, origin: "fitted", budget: { ...near.budget, law: doubt }, flags: [] };
    });
  return { ...source, cells: [...source.cells, ...fresh].sort((a, b) => a.signal - b.signal) };
}
