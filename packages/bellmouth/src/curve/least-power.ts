/**
 * Linear fit problem: row j is a weighted sum of a few neighbouring unknowns that should equal `target[j]`, its error
 * counted in units of `scale[j]`. Every row has `width` terms; unused ones have weight 0.
 */
export interface FitRows {
  readonly unknowns: number;
  readonly width: number;
  readonly count: number;
  /** Unknown of each term, rising inside a row, `width` a row. */
  readonly unknown: readonly number[];
  /** Weight of each term [1]. */
  readonly weight: readonly number[];
  readonly target: readonly number[];
  readonly scale: readonly number[];
}

/** Scaled errors of every row at the values `v`. */
function residuals(rows: FitRows, v: Float64Array, out: Float64Array): number {
  let worst = 0;
  for (let j = 0; j < rows.count; j++) {
    let sum = -(rows.target[j] as number);
    for (let k = j * rows.width; k < (j + 1) * rows.width; k++) {
      sum += (rows.weight[k] as number) * (v[rows.unknown[k] as number] as number);
    }
    out[j] = sum / (rows.scale[j] as number);
    worst = Math.max(worst, Math.abs(out[j] as number));
  }
  return worst;
}

/** Largest scaled error of any row at the values `v`. */
export const worstResidual = (rows: FitRows, v: Float64Array): number =>
  residuals(rows, v, new Float64Array(rows.count));

/** Solves a symmetric positive definite banded system in place: `band[i * (w + 1) + k]` holds element (i, i - w + k). */
function solveBanded(band: Float64Array, w: number, b: Float64Array): void {
  const n = b.length;
  const at = (i: number, j: number): number => i * (w + 1) + w + j - i;
  for (let i = 0; i < n; i++) {
    for (let j = Math.max(0, i - w); j <= i; j++) {
      let sum = band[at(i, j)] as number;
      for (let k = Math.max(0, i - w, j - w); k < j; k++) {
        sum -= (band[at(i, k)] as number) * (band[at(j, k)] as number);
      }
      band[at(i, j)] =
        i === j ? Math.sqrt(Math.max(sum, Number.MIN_VALUE)) : sum / (band[at(j, j)] as number);
    }
    let sum = b[i] as number;
    for (let k = Math.max(0, i - w); k < i; k++) sum -= (band[at(i, k)] as number) * (b[k] as number);
    b[i] = sum / (band[at(i, i)] as number);
  }
  for (let i = n - 1; i >= 0; i--) {
    let sum = b[i] as number;
    for (let k = i + 1; k <= Math.min(n - 1, i + w); k++) {
      sum -= (band[at(k, i)] as number) * (b[k] as number);
    }
    b[i] = sum / (band[at(i, i)] as number);
  }
}

/** q^(power - 2) for a power of two, by squaring: many times faster than the general power. */
function reducedPower(q: number, power: number): number {
  let product = q * q;
  const square = product;
  for (let p = 2; p < power; p *= 2) product *= product;
  return square > 0 ? product / square : power === 2 ? 1 : 0;
}

/** Powers in turn, each a start for the next; the last is close to the largest error alone. */
const POWERS = [2, 4, 8, 16, 32];
const TURNS = 3;

/**
 * Values for which the sum of the p-th powers of the scaled errors is least, p rising to 32: by then the largest errors
 * count almost alone, and among near-equals the errors elsewhere are small too. Newton's method on each power, a
 * banded Cholesky solution a step.
 *
 * @source the limit of least p-th power fits is a smallest-largest-error fit: Descloux, J. SIAM 11 (1963) 1017-1026
 */
export function leastPower(rows: FitRows, start: Float64Array): Float64Array {
  const { unknowns, width, count } = rows;
  let reach = 0;
  for (let j = 0; j < count; j++) {
    for (let a = j * width; a < (j + 1) * width; a++) {
      if (rows.weight[a] !== 0) {
        reach = Math.max(reach, (rows.unknown[a] as number) - (rows.unknown[j * width] as number));
      }
    }
  }
  const v = Float64Array.from(start);
  const best = Float64Array.from(start);
  const r = new Float64Array(count);
  let worst = residuals(rows, v, r);
  let bestWorst = worst;
  for (const power of POWERS) {
    for (let turn = 0; turn < (power === 2 ? 1 : TURNS); turn++) {
      if (!(worst > 0)) return v;
      const band = new Float64Array(unknowns * (reach + 1));
      const step = new Float64Array(unknowns);
      for (let j = 0; j < count; j++) {
        const scale = rows.scale[j] as number;
        // The floor keeps the system solvable where errors are far below the worst.
        const weight = Math.max(reducedPower((r[j] as number) / worst, power), 1e-9) / scale;
        for (let a = j * width; a < (j + 1) * width; a++) {
          const row = rows.unknown[a] as number;
          const pull = weight * (rows.weight[a] as number);
          if (pull === 0) continue;
          step[row] = (step[row] as number) - pull * (r[j] as number);
          for (let b = j * width; b <= a; b++) {
            const place = row * (reach + 1) + reach + (rows.unknown[b] as number) - row;
            band[place] = (band[place] as number) + (pull * (rows.weight[b] as number)) / scale;
          }
        }
      }
      solveBanded(band, reach, step);
      for (let i = 0; i < unknowns; i++) v[i] = (v[i] as number) + (step[i] as number) / (power - 1);
      worst = residuals(rows, v, r);
      if (!Number.isFinite(worst)) return best;
      if (worst < bestWorst) {
        bestWorst = worst;
        best.set(v);
      }
    }
  }
  return best;
}
