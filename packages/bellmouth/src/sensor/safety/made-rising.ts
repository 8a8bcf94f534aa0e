import { isotonic } from "../../curve/index.js";

/** A cell that was moved to keep flows rising. */
export interface MovedCell {
  readonly cell: number;
  /** Flow as it was, and as it is now [kg/s]. */
  readonly from: number;
  readonly to: number;
}

export interface MadeRising {
  /** [kg/s], strictly rising */
  readonly flows: readonly number[];
  readonly moved: readonly MovedCell[];
}

/** A cell may be moved by this many of its own standard uncertainties. */
const REACH = 3;
/** Least slope of ln(flow) over ln(signal) that is kept, as a share of the table's own from end to end. */
const LEAST_SLOPE = 0.1;
/** Uncertainties below this count as this [1], so that weights stay finite. */
const LEAST_U = 1e-6;

/**
 * Flows made to rise with the signal where scatter has them fall: the nearest rising ones in ln(flow), each cell weighted by
 * its accuracy. A table that rises already comes back as it is.
 *
 * @param signals [Hz] or [V], strictly rising
 * @param flows   [kg/s] >= 0
 * @param u       relative standard uncertainty of each flow [1]
 * @returns undefined when a cell would have to move by more than three of its standard uncertainties, or a cell without
 *   flow or signal stands in the way: that is no scatter
 * @source pooling of adjacent violators: see `isotonic`
 */
export function madeRising(
  signals: readonly number[],
  flows: readonly number[],
  u: readonly number[],
): MadeRising | undefined {
  const falls = (i: number): boolean => !((flows[i] as number) > (flows[i - 1] as number));
  const fallen = flows.flatMap((_, i) => (i > 0 && falls(i) ? [i] : []));
  if (fallen.length === 0) return { flows, moved: [] };
  const first = flows.findIndex((flow, i) => flow > 0 && (signals[i] as number) > 0);
  // Below the first cell with flow a table may hold one zero.
  if (first < 0 || first > 1 || flows.slice(first).some((flow) => !(flow > 0))) return undefined;
  const x = signals.slice(first).map(Math.log);
  const y = flows.slice(first).map(Math.log);
  const last = x.length - 1;
  const slope =
    (LEAST_SLOPE * ((y[last] as number) - (y[0] as number))) / ((x[last] as number) - (x[0] as number));
  if (!(slope > 0)) return undefined;
  // What rises by the least slope or more never falls once that slope is taken off.
  const level = y.map((value, i) => value - slope * (x[i] as number));
  const weights = y.map((_, i) => 1 / Math.max(u[i + first] as number, LEAST_U) ** 2);
  const pooled = isotonic(level, weights);
  const moved: MovedCell[] = [];
  const risen = flows.map((flow, cell) => {
    const i = cell - first;
    if (i < 0 || pooled[i] === level[i]) return flow;
    const to = Math.exp((pooled[i] as number) + slope * (x[i] as number));
    moved.push({ cell, from: flow, to });
    return to;
  });
  const far = moved.some(
    ({ cell, from, to }) => Math.abs(Math.log(to / from)) > REACH * Math.max(u[cell] as number, LEAST_U),
  );
  const rises = risen.every((flow, i) => i === 0 || flow > (risen[i - 1] as number));
  return far || !rises ? undefined : { flows: risen, moved };
}
