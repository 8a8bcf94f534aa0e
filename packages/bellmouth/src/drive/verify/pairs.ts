import type { LoggedChannel } from "../log/index.js";

/** A reported flow and the signal at that moment. */
export interface Pair {
  /** [Hz] or [V] */
  readonly signal: number;
  /** [kg/s] */
  readonly flow: number;
  /** how fast the signal moved [per s] */
  readonly rate: number;
  /** by how much it moved from one sample to the next, the larger side */
  readonly moved: number;
  /** The flow stood still while the signal moved on: what a table does past its end, or a link that dropped out. */
  readonly held?: true;
}

/**
 * Signal and reported flow, one pair for each fresh flow that lies between two samples of the signal.
 *
 * @param lag reported flow behind the signal [s]; rows in a log without time
 */
export function pairsOf(signal: LoggedChannel, airflow: LoggedChannel, lag = 0): readonly Pair[] {
  const pairs: Pair[] = [];
  const { time, value } = signal;
  let j = 0;
  for (let i = 0; i < airflow.time.length; i++) {
    const at = (airflow.time[i] as number) - lag;
    while (j + 1 < time.length && (time[j + 1] as number) <= at) j++;
    const [from, to] = [time[j] as number, time[j + 1] ?? Number.NaN];
    if (!(from <= at) || !(to - from <= 4 * Math.max(signal.refresh, airflow.refresh))) continue;
    const step = (value[j + 1] as number) - (value[j] as number);
    const before = j > 0 ? (value[j] as number) - (value[j - 1] as number) : step;
    pairs.push({
      signal: (value[j] as number) + (step * (at - from)) / (to - from),
      flow: airflow.value[i] as number,
      rate: (step + before) / 2 / (to - from),
      moved: Math.max(Math.abs(step), Math.abs(before)),
    });
  }
  let last = -1;
  for (let k = 1; k < time.length; k++) {
    const at = time[k] as number;
    while (last + 1 < airflow.time.length && (airflow.time[last + 1] as number) <= at) last++;
    if (last < 0 || !(at - (airflow.time[last] as number) > 2 * Math.max(airflow.refresh, lag))) continue;
    const moved = Math.abs((value[k] as number) - (value[k - 1] as number));
    pairs.push({
      signal: value[k] as number,
      flow: airflow.value[last] as number,
      rate: 0,
      moved,
      held: true,
    });
  }
  return pairs.filter((pair) => pair.flow > 0 && Number.isFinite(pair.signal));
}
