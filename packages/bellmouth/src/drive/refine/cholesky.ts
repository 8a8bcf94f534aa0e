/**
 * Small dense symmetric systems in typed arrays, row-major n*n. Our own rather than a matrix library's because the
 * drive fit factors one per iteration and per trial of a noise law, and a library's row objects would cost more than
 * the sums they hold.
 */

/**
 * Lower Cholesky factor of a symmetric positive definite matrix; NaN-safe.
 *
 * @param matrix row-major n*n; only the lower triangle is read
 * @returns the factor, row-major with zeros above the diagonal, or `null` when the matrix is not positive definite
 */
export function choleskyFactor(matrix: Float64Array, n: number): Float64Array | null {
  const factor = new Float64Array(n * n);
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = matrix[i * n + j]!;
      for (let k = 0; k < j; k++) sum -= factor[i * n + k]! * factor[j * n + k]!;
      if (i === j) {
        if (!(sum > 0)) return null;
        factor[i * n + i] = Math.sqrt(sum);
      } else factor[i * n + j] = sum / factor[j * n + j]!;
    }
  }
  return factor;
}

/** Solves L x = b for a lower factor. */
export function forwardSolve(factor: Float64Array, n: number, b: Float64Array): Float64Array {
  const x = Float64Array.from(b);
  for (let i = 0; i < n; i++) {
    let sum = x[i]!;
    for (let k = 0; k < i; k++) sum -= factor[i * n + k]! * x[k]!;
    x[i] = sum / factor[i * n + i]!;
  }
  return x;
}

/** Solves L' x = b for a lower factor. */
export function backwardSolve(factor: Float64Array, n: number, b: Float64Array): Float64Array {
  const x = Float64Array.from(b);
  for (let i = n - 1; i >= 0; i--) {
    let sum = x[i]!;
    for (let k = i + 1; k < n; k++) sum -= factor[k * n + i]! * x[k]!;
    x[i] = sum / factor[i * n + i]!;
  }
  return x;
}

/** Solves A x = b given A's lower Cholesky factor. */
export function choleskySolve(factor: Float64Array, n: number, b: Float64Array): Float64Array {
  return backwardSolve(factor, n, forwardSolve(factor, n, b));
}

/** Inverse of A, row-major, given A's lower Cholesky factor. */
export function choleskyInverse(factor: Float64Array, n: number): Float64Array {
  const inverse = new Float64Array(n * n);
  const upper = new Float64Array(n * n);
  for (let r = 0; r < n; r++) for (let c = 0; c <= r; c++) upper[c * n + r] = factor[r * n + c]!;
  const x = new Float64Array(n);
  for (let j = 0; j < n; j++) {
    solveUnit(factor, upper, n, j, x);
    for (let i = 0; i < n; i++) inverse[i * n + j] = x[i]!;
  }
  return inverse;
}

/** Column j of the inverse, with the factor and its transpose: as `choleskySolve` of a unit vector, which is zero above j. */
function solveUnit(factor: Float64Array, upper: Float64Array, n: number, j: number, x: Float64Array): void {
  x[j] = 1 / factor[j * n + j]!;
  for (let i = j + 1; i < n; i++) {
    let sum = 0;
    for (let k = j; k < i; k++) sum -= factor[i * n + k]! * x[k]!;
    x[i] = sum / factor[i * n + i]!;
  }
  x.fill(0, 0, j);
  for (let i = n - 1; i >= 0; i--) {
    let sum = x[i]!;
    for (let k = i + 1; k < n; k++) sum -= upper[i * n + k]! * x[k]!;
    x[i] = sum / factor[i * n + i]!;
  }
}

/** ln det A given A's lower Cholesky factor. */
export function logDeterminant(factor: Float64Array, n: number): number {
  let sum = 0;
  for (let i = 0; i < n; i++) sum += Math.log(factor[i * n + i]!);
  return 2 * sum;
}

/**
 * Marginalises the trailing parameters out of a quadratic form -x'Ax/2 + b'x, for any number of vectors b: A11 - A12 inv(A22) A21 and
 * b1 - A12 inv(A22) b2.
 *
 * @param keep number of leading parameters kept
 * @returns the reduced matrix and vectors, or `null` when the part taken out is not positive definite
 */
export function marginalise(
  matrix: Float64Array,
  vectors: readonly Float64Array[],
  n: number,
  keep: number,
): { readonly matrix: Float64Array; readonly vectors: readonly Float64Array[] } | null {
  const out = n - keep;
  const inner = new Float64Array(out * out);
  for (let i = 0; i < out; i++)
    for (let j = 0; j < out; j++) inner[i * out + j] = matrix[(keep + i) * n + keep + j]!;
  const factor = choleskyFactor(inner, out);
  if (factor === null) return null;
  const half = new Float64Array(out * keep);
  const column = new Float64Array(out);
  for (let c = 0; c < keep; c++) {
    for (let i = 0; i < out; i++) column[i] = matrix[(keep + i) * n + c]!;
    half.set(forwardSolve(factor, out, column), c * out);
  }
  const reduced = new Float64Array(keep * keep);
  for (let r = 0; r < keep; r++)
    for (let c = 0; c < keep; c++) {
      let sum = 0;
      for (let i = 0; i < out; i++) sum += half[r * out + i]! * half[c * out + i]!;
      reduced[r * keep + c] = matrix[r * n + c]! - sum;
    }
  return {
    matrix: reduced,
    vectors: vectors.map((vector) => {
      const rest = forwardSolve(factor, out, vector.subarray(keep));
      return Float64Array.from({ length: keep }, (_, r) => {
        let sum = 0;
        for (let i = 0; i < out; i++) sum += half[r * out + i]! * rest[i]!;
        return vector[r]! - sum;
      });
    }),
  };
}
