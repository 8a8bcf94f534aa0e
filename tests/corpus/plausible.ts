import { type ChannelName, ruleOf } from "./channels.js";
import type { Dialect } from "./dialect.js";

/** Two worlds: the ordinary one, and one in which anything that physics allows may happen. */
export type World = "ordinary" | "wide";

/** Share of samples that may be outside the bounds: sensors do fail for a moment. */
const FAILED: Record<World, number> = { ordinary: 0.02, wide: 0.05 };
/** Seconds from row to row. */
const PACE: Record<World, readonly [least: number, most: number]> = {
  ordinary: [0.002, 10],
  wide: [2e-4, 600],
};

function paceIsPlausible(times: Float64Array, world: World): boolean {
  const steps: number[] = [];
  for (let i = 1; i < times.length; i++) {
    const step = times[i]! - times[i - 1]!;
    if (step > 0) steps.push(step);
  }
  if (steps.length === 0) return false;
  steps.sort((a, b) => a - b);
  const middle = steps[steps.length >> 1]!;
  return middle >= PACE[world][0] && middle <= PACE[world][1];
}

/** Whether a running car can have given these values [SI] in this channel. */
export function isPlausible(
  values: Float64Array,
  channel: ChannelName,
  dialect: Dialect,
  world: World,
): boolean {
  if (channel === "extra") return true;
  if (channel === "time") return paceIsPlausible(values, world);
  const { from, to, lowest, highest } = ruleOf(channel, dialect.kind);
  let inside = 0;
  let outside = 0;
  let least = Number.POSITIVE_INFINITY;
  let most = Number.NEGATIVE_INFINITY;
  for (const value of values) {
    if (Number.isNaN(value)) continue;
    if (value < from || value > to) {
      outside++;
      continue;
    }
    inside++;
    least = Math.min(least, value);
    most = Math.max(most, value);
  }
  if (inside === 0 || outside > FAILED[world] * (inside + outside)) return false;
  if (world === "wide" || dialect.holds !== undefined || dialect.pullOnly) return true;
  return (highest === undefined || most >= highest) && (lowest === undefined || least <= lowest);
}

/** Whether two columns move together (covariance above zero) where both have values. */
export function risesWith(a: Float64Array, b: Float64Array): boolean {
  let [n, sa, sb, sab] = [0, 0, 0, 0];
  for (let i = 0; i < a.length; i++) {
    if (Number.isNaN(a[i]!) || Number.isNaN(b[i]!)) continue;
    n++;
    sa += a[i]!;
    sb += b[i]!;
    sab += a[i]! * b[i]!;
  }
  return n === 0 || sab * n > sa * sb;
}
