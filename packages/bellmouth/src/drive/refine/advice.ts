import type { DriveAdvice, RefinedCell } from "./types.js";
import type { DrivenCells } from "./where-driven.js";

/** Steady time assumed at a suggestion [s]. */
const assumedSeconds = 20;
const most = 4;

/**
 * What to drive next: where some steady time would narrow the intervals of the whole table most, taken one after another so that suggestions do
 * not repeat each other.
 *
 * @param covariance posterior covariance of the cells [1], row-major
 */
export function adviseNext(
  sums: DrivenCells,
  cells: readonly RefinedCell[],
  covariance: Float64Array,
): readonly DriveAdvice[] {
  const n = cells.length;
  const now = Float64Array.from(covariance);
  // Information of the assumed time, from the drives' own noise; a middling sensor when there is none.
  const { variance, memory } = sums.noise ?? { variance: 1.5e-4, memory: 1 };
  const information = assumedSeconds / (2 * Math.max(0.1, memory)) / variance;
  const reachable = reach(sums, cells);
  const advice: DriveAdvice[] = [];
  const taken = new Set<number>();
  while (advice.length < most) {
    let best = -1;
    let bestGain = 0;
    for (let i = 0; i < n; i++) {
      if (taken.has(i) || !reachable[i]) continue;
      const own = now[i * n + i]!;
      let gain = 0;
      for (let j = 0; j < n; j++)
        gain += (now[i * n + j]! * now[i * n + j]! * information) / (1 + own * information);
      if (gain > bestGain) {
        bestGain = gain;
        best = i;
      }
    }
    if (best < 0 || !(bestGain > n * 0.001 ** 2)) break;
    const before = Math.sqrt(now[best * n + best]!);
    const row = now.slice(best * n, best * n + n);
    const own = row[best]!;
    const factor = information / (1 + own * information);
    for (let r = 0; r < n; r++)
      for (let c = 0; c < n; c++) now[r * n + c] = now[r * n + c]! - factor * row[r]! * row[c]!;
    let first = best;
    let last = best;
    while (first > 0 && reachable[first - 1] && row[first - 1]! > 0.8 * own) first--;
    while (last < n - 1 && reachable[last + 1] && row[last + 1]! > 0.8 * own) last++;
    for (let i = first; i <= last; i++) taken.add(i);
    advice.push({
      cells: [first, last],
      flow: [cells[first]!.after, cells[last]!.after],
      ...stateFor(sums, cells[best]!.after),
      uNow: before,
      uAfter: Math.sqrt(Math.max(0, now[best * n + best]!)),
      seconds: assumedSeconds,
    });
  }
  return advice;
}

/** Speeds seen are means of a cell; this little above the highest is still what was driven, and nobody is sent past a limiter [1]. */
const faster = 1.05;
/** How much more than the highest flow seen may be asked for where engine speed or pressure is not logged [1]. */
const higher = 1.2;

/** Mean engine speed near each driven cell [rev/s]. */
const speedsSeen = ({ places }: DrivenCells): number[] =>
  places.filter((place) => place.time > 0.2).map((place) => place.speed / place.time);

/** Cells an engine like the one driven can reach: from just under the lowest driven one up to full load at the speeds seen. */
function reach(sums: DrivenCells, cells: readonly RefinedCell[]): boolean[] {
  const lowest = sums.seconds.findIndex((time) => time > 0.2);
  if (lowest < 0) return cells.map(() => true);
  const { filling } = sums;
  const seen = cells[sums.seconds.findLastIndex((time) => time > 0.2)]!.after;
  const most =
    filling.time > 5 ? (filling.sum / filling.time) * faster * Math.max(...speedsSeen(sums)) : higher * seen;
  return cells.map(({ after }, i) => i >= lowest - 1 && after <= Math.max(most, seen));
}

/**
 * Engine speed and pressure ratio that draw a flow, by the air per revolution seen so far: a moderate load where the engine's speeds allow it.
 */
function stateFor(sums: DrivenCells, flow: number): Pick<DriveAdvice, "speed" | "pressureRatio"> {
  const { filling } = sums;
  if (!(filling.time > 5)) return { speed: null, pressureRatio: null };
  const perTurn = filling.sum / filling.time;
  const speeds = speedsSeen(sums);
  const slowest = Math.min(...speeds);
  const fastest = faster * Math.max(...speeds);
  const clamp = (value: number): number => Math.min(fastest, Math.max(slowest, value));
  const high = clamp(flow / (perTurn * 0.5));
  const low = clamp(flow / (perTurn * 0.9));
  const ratio = (speed: number): number => Math.min(1, flow / (perTurn * speed));
  return {
    speed: [Math.min(low, high), Math.max(low, high)],
    pressureRatio: [Math.min(ratio(low), ratio(high)), Math.max(ratio(low), ratio(high))],
  };
}
