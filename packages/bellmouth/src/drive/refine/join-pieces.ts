import { sealed } from "./drive-sums.js";
import { addGates } from "./gate.js";
import type { DriveEvidence, DriveSummary, RefineSums } from "./types.js";

const add = (a: readonly number[], b: readonly number[]): readonly number[] =>
  a.length === 0 ? b : b.length === 0 ? a : a.map((value, k) => value + b[k]!);

/** Two records of one drive as one: its own offset is the same in both. */
function joined(a: DriveEvidence, b: DriveEvidence): DriveEvidence {
  return {
    ...a,
    matrix: add(a.matrix, b.matrix),
    vector: add(a.vector, b.vector),
    seconds: add(a.seconds, b.seconds),
    seen: { weight: add(a.seen.weight, b.seen.weight), sum: add(a.seen.sum, b.seen.sum) },
    places: {
      time: add(a.places.time, b.places.time),
      speed: add(a.places.speed, b.places.speed),
      pressure: add(a.places.pressure, b.places.pressure),
    },
    filling: {
      sum: a.filling.sum + b.filling.sum,
      ln: a.filling.ln + b.filling.ln,
      time: a.filling.time + b.filling.time,
    },
    outside: { sum: a.outside.sum + b.outside.sum, time: a.outside.time + b.outside.time },
    loaded: a.loaded + b.loaded,
    stretches: [...a.stretches, ...b.stretches],
  };
}

/**
 * Evidence of a log that was read in pieces, as of one drive: the pieces' evidence is added, their summaries become one.
 * Law, noise and delay are those of the piece that told most; pieces too short to count only leave their rows.
 *
 * @param sums of the pieces of one log and nothing else (`addDrive`)
 * @param name the log's name
 */
export function joinPieces(sums: RefineSums, name: string): RefineSums {
  const { drives } = sums;
  if (drives.length === 0) return sums;
  const pieces = drives.map(({ summary }) => summary);
  const [first, ...others] = pieces as [DriveSummary, ...DriveSummary[]];
  const total = (of: (piece: DriveSummary) => number, among: readonly DriveSummary[] = pieces): number =>
    among.reduce((sum, piece) => sum + of(piece), 0);
  const used = pieces.filter((piece) => piece.refused === null);
  const best = used.reduce((a, b) => (b.effective > a.effective ? b : a), used[0] ?? first);
  const seconds = total((piece) => piece.seconds);
  const effective = total((piece) => piece.effective, used);
  const { digest: _, ...whole } = drives.reduce(joined);
  return {
    ...sums,
    drives: [
      sealed({
        ...whole,
        summary: {
          ...best,
          name,
          seconds,
          gates: others.reduce((gates, piece) => addGates(gates, piece.gates), first.gates),
          effective,
          misfit:
            effective > 0 ? total((piece) => piece.misfit * piece.effective, used) / effective : best.misfit,
          saturated:
            seconds > 0 ? total((piece) => piece.saturated * piece.seconds) / seconds : best.saturated,
        },
      }),
    ],
  };
}
