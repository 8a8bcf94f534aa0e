import { type LawCurve, logFlow } from "./law-curve.js";
import type { SignalRange } from "./transfer-law.js";

const STEPS = 400;

/**
 * The signals around a range over which a law rises, looked for as far as twice the range's length to each side; null
 * when it does not rise over the range itself. The power forms rise wherever they have a value.
 *
 * @param from start of the range [Hz] or [V], > 0
 * @param to   end of the range
 */
export function risingRange(curve: LawCurve, from: number, to: number): SignalRange | null {
  if (curve.form === "shifted power") return { from: curve.shift, to: null };
  if (curve.form === "king") return { from: Math.sqrt(Math.max(0, curve.a)), to: null };
  const step = (to - from) / STEPS;
  const rises = (a: number, b: number): boolean => logFlow(curve, b) > logFlow(curve, a);
  for (let i = 0; i < STEPS; i++) {
    if (!rises(from + i * step, from + (i + 1) * step)) return null;
  }
  let low = from;
  // Signals stay above zero: the logarithm of the log-log form needs it, and so does the sensor.
  while (low - step > 0 && from - low < 2 * (to - from) && rises(low - step, low)) low -= step;
  let high = to;
  while (high - to < 2 * (to - from) && rises(high, high + step)) high += step;
  return { from: low, to: high };
}
