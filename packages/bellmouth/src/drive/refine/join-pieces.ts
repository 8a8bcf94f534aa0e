import { addGates } from "./gate.js";
import type { DriveSummary, RefineSums } from "./types.js";

/**
 * Sums of a log that was read in pieces, as of one drive: the evidence stays as it was added, the pieces' summaries become one.
 * Law, noise and delay are those of the piece that told most; pieces too short to count only leave their rows.
 *
 * @param sums of the pieces of one log and nothing else (`addDrive`)
 * @param name the log's name
 */
export function joinPieces(sums: RefineSums, name: string): RefineSums {
  const [first, ...others] = sums.drives;
  if (first === undefined) return sums;
  const total = (of: (piece: DriveSummary) => number, among = sums.drives): number =>
    among.reduce((sum, piece) => sum + of(piece), 0);
  const used = sums.drives.filter((piece) => piece.refused === null);
  const best = used.reduce((a, b) => (b.effective > a.effective ? b : a), used[0] ?? first);
  const seconds = total((piece) => piece.seconds);
  const effective = total((piece) => piece.effective, used);
  return {
    ...sums,
    drives: [
      {
        ...best,
        name,
        seconds,
        gates: others.reduce((gates, piece) => addGates(gates, piece.gates), first.gates),
        effective,
        misfit:
          effective > 0 ? total((piece) => piece.misfit * piece.effective, used) / effective : best.misfit,
        saturated: seconds > 0 ? total((piece) => piece.saturated * piece.seconds) / seconds : best.saturated,
      },
    ],
  };
}
