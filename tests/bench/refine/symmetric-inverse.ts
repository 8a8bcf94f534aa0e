/** Inverse of a symmetric positive definite matrix by Cholesky. */
export function invert(matrix: readonly Float64Array[]): Float64Array[] {
  const n = matrix.length;
  const l = matrix.map((row) => Float64Array.from(row));
  for (let j = 0; j < n; j++) {
    for (let k = 0; k < j; k++) for (let i = j; i < n; i++) l[i]![j]! -= l[i]![k]! * l[j]![k]!;
    const pivot = l[j]![j]!;
    if (!(pivot > 0)) throw new Error("matrix is not positive definite");
    const root = Math.sqrt(pivot);
    for (let i = j; i < n; i++) l[i]![j]! /= root;
  }
  return Array.from({ length: n }, (_, c) => {
    const x = new Float64Array(n);
    x[c] = 1;
    for (let i = 0; i < n; i++) {
      for (let k = 0; k < i; k++) x[i]! -= l[i]![k]! * x[k]!;
      x[i]! /= l[i]![i]!;
    }
    for (let i = n - 1; i >= 0; i--) {
      for (let k = i + 1; k < n; k++) x[i]! -= l[k]![i]! * x[k]!;
      x[i]! /= l[i]![i]!;
    }
    return x;
  });
}
