/**
 * Series of a drive, row by row. Each loop is a function of its own with nothing behind it: the engine compiles a long loop
 * while it runs, before it has seen what comes after, and throws the compiled code away when it gets there.
 */

/** into + factor * series, in place. */
export function addScaled(into: Float64Array, factor: number, series: Float64Array): void {
  for (let t = 0; t < into.length; t++) into[t] = into[t]! + factor * series[t]!;
}

/** factor * series, in place. */
export function scale(series: Float64Array, factor: number): void {
  for (let t = 0; t < series.length; t++) series[t] = series[t]! * factor;
}

/** series * by, in place. */
export function multiply(series: Float64Array, by: Float64Array): void {
  for (let t = 0; t < series.length; t++) series[t] = series[t]! * by[t]!;
}

/** series / by, in place. */
export function divide(series: Float64Array, by: Float64Array): void {
  for (let t = 0; t < series.length; t++) series[t] = series[t]! / by[t]!;
}

/** a * b. */
export function product(a: Float64Array, b: Float64Array): Float64Array {
  const out = new Float64Array(a.length);
  for (let t = 0; t < out.length; t++) out[t] = a[t]! * b[t]!;
  return out;
}

/** (after - before) / step. */
export function slopes(after: Float64Array, before: Float64Array, step: number): Float64Array {
  const out = new Float64Array(after.length);
  for (let t = 0; t < out.length; t++) out[t] = (after[t]! - before[t]!) / step;
  return out;
}

/** exp(-series), in place: 1/lambda from ln lambda. */
export function inverted(series: Float64Array): void {
  for (let t = 0; t < series.length; t++) series[t] = Math.exp(-series[t]!);
}

/** ln of a series; what is below `least` counts as `least`. */
export function logarithms(series: Float64Array, least: number): Float64Array {
  const out = new Float64Array(series.length);
  for (let t = 0; t < out.length; t++) out[t] = Math.log(Math.max(least, series[t]!));
  return out;
}

/** What is above zero. */
export function positive(series: Float64Array): Float64Array {
  const out = new Float64Array(series.length);
  for (let t = 0; t < out.length; t++) out[t] = Math.max(series[t]!, 0);
  return out;
}
