import type { TransferCurve } from "../../sensor/index.js";
import type { Reference } from "./reference.js";
import type { Counted } from "./totals.js";

/** Where and how long all drives that count were, at the knots. */
export interface Driven {
  readonly seconds: Float64Array;
  readonly weight: Float64Array;
  readonly sum: Float64Array;
  readonly time: Float64Array;
  readonly speed: Float64Array;
  readonly pressure: Float64Array;
  /** Air drawn per revolution at outside pressure [kg]: sum of time x value, and of time; and the mean of its logarithm. */
  readonly filling: { readonly sum: number; readonly time: number };
  readonly lnFilling: number;
  /** Outside pressure [Pa]; NaN where no drive tells. */
  readonly outside: number;
  /** Time under load [s]. */
  readonly loaded: number;
  /** Mean noise of lambda: variance [1] and memory [s]; null without a drive. */
  readonly noise: { readonly variance: number; readonly memory: number } | null;
}

export function drivenOf({ drives }: Counted, reference: Reference): Driven {
  const n = reference.x.length;
  const added = (pick: (record: Counted["drives"][number]["record"]) => readonly number[]): Float64Array => {
    const out = new Float64Array(n);
    for (const { record, weight } of drives)
      pick(record).forEach((value, k) => {
        out[k] = out[k]! + weight * value;
      });
    return out;
  };
  const total = (pick: (record: Counted["drives"][number]["record"]) => number): number =>
    drives.reduce((sum, { record, weight }) => sum + weight * pick(record), 0);
  const time = total(({ filling }) => filling.time);
  const noises = drives.flatMap(({ record }) =>
    record.summary.noise === null ? [] : [record.summary.noise],
  );
  const mean = (pick: (noise: (typeof noises)[number]) => number): number =>
    noises.reduce((sum, noise) => sum + pick(noise), 0) / noises.length;
  return {
    seconds: added(({ seconds }) => seconds),
    weight: added(({ seen }) => seen.weight),
    sum: added(({ seen }) => seen.sum),
    time: added(({ places }) => places.time),
    speed: added(({ places }) => places.speed),
    pressure: added(({ places }) => places.pressure),
    filling: { sum: total(({ filling }) => filling.sum), time },
    lnFilling: time > 0 ? total(({ filling }) => filling.ln) / time : 0,
    outside: total(({ outside }) => outside.sum) / total(({ outside }) => outside.time),
    loaded: total((record) => record.loaded),
    noise:
      noises.length === 0
        ? null
        : { variance: mean((one) => one.slow + one.fast), memory: mean((one) => one.memory) },
  };
}

/** The same near each cell. */
export interface DrivenCells {
  readonly seconds: readonly number[];
  /** Sums of weight and of weight x ln(true/table flow). */
  readonly seen: readonly { readonly weight: number; readonly sum: number }[];
  readonly places: readonly { readonly time: number; readonly speed: number; readonly pressure: number }[];
  readonly filling: Driven["filling"];
  readonly noise: Driven["noise"];
}

/** Hands what lies near each knot to the cells: each knot's reach in ln flow is shared by the cells that it overlaps. */
export function toCells(driven: Driven, curve: TransferCurve, reference: Reference): DrivenCells {
  const { x } = reference;
  const { cells } = curve;
  const half = 0.5 * (x[1]! - x[0]!);
  const edges = cells.map(({ signal }, i) =>
    i === 0 ? Number.NEGATIVE_INFINITY : reference.lnFlow(0.5 * (signal + cells[i - 1]!.signal)),
  );
  edges.push(Number.POSITIVE_INFINITY);
  const seconds = cells.map(() => 0);
  const seen = cells.map(() => ({ weight: 0, sum: 0 }));
  const places = cells.map(() => ({ time: 0, speed: 0, pressure: 0 }));
  let c = 0;
  for (let k = 0; k < x.length; k++) {
    const from = x[k]! - half;
    const to = x[k]! + half;
    while (c > 0 && edges[c]! > from) c--;
    while (edges[c + 1]! <= from) c++;
    for (let i = c; i < cells.length && edges[i]! < to; i++) {
      const share = (Math.min(to, edges[i + 1]!) - Math.max(from, edges[i]!)) / (2 * half);
      if (!(share > 0)) continue;
      seconds[i] = seconds[i]! + share * driven.seconds[k]!;
      seen[i]!.weight += share * driven.weight[k]!;
      seen[i]!.sum += share * driven.sum[k]!;
      places[i]!.time += share * driven.time[k]!;
      places[i]!.speed += share * driven.speed[k]!;
      places[i]!.pressure += share * driven.pressure[k]!;
    }
  }
  return { seconds, seen, places, filling: driven.filling, noise: driven.noise };
}
