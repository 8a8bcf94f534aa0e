/** Value of a smooth curve at one place, found from samples around it. */
export interface LocalValue {
  /** in the unit of the samples; NaN when too few samples stand around the place */
  readonly value: number;
  /** samples within the window [1] */
  readonly n: number;
  /** slope and half the second derivative there, in units of y per window and per window squared; zero where not fitted */
  readonly slope: number;
  readonly bend: number;
}

/** Samples within the window from which a curved fit is kept apart from its noise. */
const CURVED_FROM = 7;
const LEAST = 3;

/**
 * Value of a curve at `at` by local regression: a parabola (a straight line where samples are few) by weighted least
 * squares over the window, weight (1 - |z|^3)^3 of the distance. A parabola, because drop grows with the square of
 * speed and a mean or a line over the window would read high.
 *
 * No value is given at the end of the data: samples must stand on both sides.
 *
 * @param x      places of the samples, any unit; NaN and NaN values are skipped
 * @param y      values of the samples
 * @param at     place wanted, in the unit of x
 * @param window half-width of the window, in the unit of x, > 0
 * @source W. S. Cleveland, "Robust locally weighted regression and smoothing scatterplots", JASA 74 (1979) 829
 */
export function localValue(
  x: readonly number[],
  y: readonly number[],
  at: number,
  window: number,
): LocalValue {
  // Weighted moments in z, which lies in -1..1: the normal equations of a parabola are well conditioned there.
  let [m0, m1, m2, m3, m4] = [0, 0, 0, 0, 0];
  let [v0, v1, v2] = [0, 0, 0];
  let n = 0;
  let below = false;
  let above = false;
  const places = new Set<number>();
  for (let i = 0; i < x.length; i++) {
    const z = ((x[i] as number) - at) / window;
    const value = y[i] as number;
    if (!(Math.abs(z) < 1) || Number.isNaN(value)) continue;
    const w = (1 - Math.abs(z) ** 3) ** 3;
    const [wz, wzz] = [w * z, w * z * z];
    m0 += w;
    m1 += wz;
    m2 += wzz;
    m3 += wzz * z;
    m4 += wzz * z * z;
    v0 += w * value;
    v1 += wz * value;
    v2 += wzz * value;
    n++;
    places.add(z);
    if (z <= 0) below = true;
    if (z >= 0) above = true;
  }
  if (n < LEAST || !below || !above || places.size < 2) return { value: Number.NaN, n, slope: 0, bend: 0 };
  const line = m0 * m2 - m1 * m1;
  if (n >= CURVED_FROM && places.size > 3) {
    // Cramer's rule for the value at z = 0.
    const whole = m0 * (m2 * m4 - m3 * m3) - m1 * (m1 * m4 - m2 * m3) + m2 * (m1 * m3 - m2 * m2);
    // Samples crowded on three places or fewer would leave the parabola undetermined: a line then.
    if (whole > 1e-9 * m0 * m2 * m4) {
      const top = v0 * (m2 * m4 - m3 * m3) - m1 * (v1 * m4 - v2 * m3) + m2 * (v1 * m3 - v2 * m2);
      const tilt = m0 * (v1 * m4 - v2 * m3) - v0 * (m1 * m4 - m2 * m3) + m2 * (m1 * v2 - m2 * v1);
      const curve = m0 * (m2 * v2 - m3 * v1) - m1 * (m1 * v2 - m2 * v1) + v0 * (m1 * m3 - m2 * m2);
      return { value: top / whole, n, slope: tilt / whole, bend: curve / whole };
    }
  }
  return line > 1e-12 * m0 * m2
    ? { value: (v0 * m2 - v1 * m1) / line, n, slope: (v1 * m0 - v0 * m1) / line, bend: 0 }
    : { value: Number.NaN, n, slope: 0, bend: 0 };
}
