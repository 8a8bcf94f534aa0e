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
  if (curve.series.coefficients.length <= 3) return parabolaRange(curve, from, to);
  const step = (to - from) / STEPS;
  const at = (signal: number): number => logFlow(curve, signal);
  const first = at(from);
  let value = first;
  for (let i = 1; i <= STEPS; i++) {
    const next = at(from + i * step);
    if (!(next > value)) return null;
    value = next;
  }
  let high = to;
  while (high - to < 2 * (to - from)) {
    const next = at(high + step);
    if (!(next > value)) break;
    value = next;
    high += step;
  }
  let low = from;
  value = first;
  // Signals stay above zero: the logarithm of the log-log form needs it, and so does the sensor.
  while (low - step > 0 && from - low < 2 * (to - from)) {
    const next = at(low - step);
    if (!(next < value)) break;
    value = next;
    low -= step;
  }
  return { from: low, to: high };
}

/** The same for a polynomial of degree 1 or 2, whose only turn is known. */
function parabolaRange(
  curve: Extract<LawCurve, { readonly series: unknown }>,
  from: number,
  to: number,
): SignalRange | null {
  const { series } = curve;
  const [, c1 = 0, c2 = 0] = series.coefficients;
  // d/dz (c1 z + c2 (2 z^2 - 1)) = c1 + 4 c2 z
  const turn = c2 === 0 ? Number.NaN : -c1 / (4 * c2);
  const middle = 0.5 * (series.from + series.to + turn * (series.to - series.from));
  const at = curve.form === "log polynomial" ? middle : Math.exp(middle);
  let low = Math.max(0, from - 2 * (to - from));
  let high = to + 2 * (to - from);
  if (c2 > 0) low = Math.max(low, at);
  if (c2 < 0) high = Math.min(high, at);
  if (c2 === 0 && !(c1 > 0)) return null;
  // A turn at an end itself may come out a rounding inside it.
  const slack = 1e-9 * (to - from);
  if (!(low <= from + slack && high >= to - slack)) return null;
  // A signal of zero has no logarithm.
  return {
    from: low > 0 ? Math.min(low, from) : Math.min(from, (to - from) / STEPS),
    to: Math.max(high, to),
  };
}
