import { choleskyFactor, choleskySolve } from "./cholesky.js";

/**
 * Errors of the mixture over engine speed and load that a table of the signal alone cannot hold: reversion, pulsation, purge, a
 * blended airflow model. Hats on a grid of ln speed and load, averaged over by evidence; most cars have none.
 */
export const fieldSpeeds = [11, 16, 22, 30, 42, 60, 80, 110] as const; // [rev/s]
export const fieldLoads = [0.2, 0.35, 0.5, 0.65, 0.8, 0.95] as const; // manifold over outside pressure [1]
export const nodeCount = fieldSpeeds.length * fieldLoads.length;
const lnSpeeds = fieldSpeeds.map(Math.log);

/** Engine speed [rev/s] and load [1] of a node. */
export const nodeAt = (k: number): { readonly speed: number; readonly load: number } => ({
  speed: fieldSpeeds[Math.floor(k / fieldLoads.length)]!,
  load: fieldLoads[k % fieldLoads.length]!,
});

/** Where each row stands on the grid: the lower node and the shares of the way to the next in speed and load; node -1 where unknown. */
export interface FieldPlaces {
  readonly node: Int32Array;
  readonly speedShare: Float64Array;
  readonly loadShare: Float64Array;
}

const along = (grid: readonly number[], at: number): number => {
  const last = grid.length - 1;
  if (!(at > grid[0]!)) return 0;
  if (at >= grid[last]!) return last;
  let k = 0;
  while (at >= grid[k + 1]!) k++;
  return k + (at - grid[k]!) / (grid[k + 1]! - grid[k]!);
};

/** Places of rows by engine speed [rev/s] and pressure ratio [1]; null where a drive logs too little of either. */
export function fieldPlaces(speed: Float64Array, load: Float64Array): FieldPlaces | null {
  const n = speed.length;
  const node = new Int32Array(n).fill(-1);
  const speedShare = new Float64Array(n);
  const loadShare = new Float64Array(n);
  let known = 0;
  for (let t = 0; t < n; t++) {
    if (!(speed[t]! > 1) || !(load[t]! > 0)) continue;
    const s = along(lnSpeeds, Math.log(speed[t]!));
    const l = along(fieldLoads, load[t]!);
    const i = Math.min(fieldSpeeds.length - 2, Math.floor(s));
    const j = Math.min(fieldLoads.length - 2, Math.floor(l));
    node[t] = i * fieldLoads.length + j;
    speedShare[t] = s - i;
    loadShare[t] = l - j;
    known++;
  }
  return known > 0.5 * n ? { node, speedShare, loadShare } : null;
}

/** Runs `each` over the four nodes of a row with their weights, which add to 1. */
export function overNodes(
  { node, speedShare, loadShare }: FieldPlaces,
  t: number,
  each: (node: number, weight: number) => void,
): void {
  const k = node[t]!;
  if (k < 0) return;
  const a = speedShare[t]!;
  const b = loadShare[t]!;
  each(k, (1 - a) * (1 - b));
  each(k + 1, (1 - a) * b);
  each(k + fieldLoads.length, a * (1 - b));
  each(k + fieldLoads.length + 1, a * b);
}

/** Width and spacing of the curves along flow that the field leaves to the table, in ln(speed x load) [1]. */
const alongFlow = 0.35;
/** Share of a node's weight that it has even where nobody drove [1]. */
const leastWeight = 1e-4;

export interface FieldPrior {
  /** Square root of the prior of contrasts: columns F with F F' = R K1 R', row-major. */
  readonly root: Float64Array;
  /** Prior K1 of the nodes, row-major, and how curves along flow are read off them: M, row-major (curves x nodes). */
  readonly nodes: Float64Array;
  readonly along: Float64Array;
  readonly curves: number;
  /** The curves' values at ln(speed x load) [1]. */
  basis(at: number): Float64Array;
}

/**
 * Prior of the field for given drives, per unit of its size: what runs along flow is taken out, so that the table stays the time-weighted
 * one as driven and the field holds contrasts at one flow.
 *
 * @param weights information of the hats, the diagonal of the sums
 */
export function fieldPrior(weights: Float64Array): FieldPrior {
  const m = nodeCount;
  const place = Float64Array.from({ length: m }, (_, k) => Math.log(nodeAt(k).speed * nodeAt(k).load));
  const from = place.reduce((a, b) => Math.min(a, b));
  const to = place.reduce((a, b) => Math.max(a, b));
  const curves = Math.ceil((to - from) / alongFlow) + 1;
  const basis = (at: number): Float64Array => {
    const inside = Math.min(to, Math.max(from, at));
    return Float64Array.from({ length: curves }, (_, c) =>
      Math.exp(-0.5 * ((inside - from - c * alongFlow) / alongFlow) ** 2),
    );
  };
  const G = Array.from(place, basis);
  let most = 0;
  for (const value of weights) if (value > most) most = value;
  const W = Float64Array.from(weights, (value) => (most > 0 ? value / most : 0) + leastWeight);
  const normal = new Float64Array(curves * curves);
  for (let k = 0; k < m; k++)
    for (let r = 0; r < curves; r++)
      for (let c = 0; c < curves; c++)
        normal[r * curves + c] = normal[r * curves + c]! + W[k]! * G[k]![r]! * G[k]![c]!;
  for (let r = 0; r < curves; r++) normal[r * curves + r] = normal[r * curves + r]! * (1 + 1e-9) + 1e-9;
  const factor = choleskyFactor(normal, curves)!;
  const M = new Float64Array(curves * m);
  for (let k = 0; k < m; k++) {
    const column = choleskySolve(
      factor,
      curves,
      Float64Array.from(G[k]!, (g) => g * W[k]!),
    );
    for (let c = 0; c < curves; c++) M[c * m + k] = column[c]!;
  }
  const K1 = nodeKernel();
  const L = choleskyFactor(K1, m)!;
  // F = (I - G M) L
  const ML = product(M, L, curves, m);
  const root = Float64Array.from(L);
  for (let r = 0; r < m; r++)
    for (let c = 0; c < m; c++) {
      let sum = 0;
      for (let k = 0; k < curves; k++) sum += G[r]![k]! * ML[k * m + c]!;
      root[r * m + c] = root[r * m + c]! - sum;
    }
  return { root, nodes: K1, along: M, curves, basis };
}

/** Correlation of the nodes: alike within one and a half nodes, and a twentieth of their own. */
function nodeKernel(): Float64Array {
  const m = nodeCount;
  const loads = fieldLoads.length;
  const K = new Float64Array(m * m);
  for (let r = 0; r < m; r++)
    for (let c = 0; c < m; c++) {
      const d2 = (Math.floor(r / loads) - Math.floor(c / loads)) ** 2 + ((r % loads) - (c % loads)) ** 2;
      K[r * m + c] = 0.95 * Math.exp(-d2 / 1.5 ** 2) + (r === c ? 0.05 : 0);
    }
  return K;
}

/** A (rows x m) times B (m x m), row-major. */
function product(A: Float64Array, B: Float64Array, rows: number, m: number): Float64Array {
  const out = new Float64Array(rows * m);
  for (let r = 0; r < rows; r++)
    for (let k = 0; k < m; k++) {
      const a = A[r * m + k]!;
      for (let c = 0; c < m; c++) out[r * m + c] = out[r * m + c]! + a * B[k * m + c]!;
    }
  return out;
}

/**
 * Variance [1] that the field adds to the table at a place along flow, per unit of the field's variance: what it could hold there and is
 * not told apart from the table. At most that of the field itself: where nobody drove, what is read off the nodes is no mean of them.
 */
export function untoldVariance(prior: FieldPrior, at: number): number {
  const { curves, along: M, nodes, basis } = prior;
  const m = nodeCount;
  const g = basis(at);
  const row = new Float64Array(m);
  for (let c = 0; c < curves; c++) for (let k = 0; k < m; k++) row[k] = row[k]! + g[c]! * M[c * m + k]!;
  let sum = 0;
  for (let r = 0; r < m; r++) for (let c = 0; c < m; c++) sum += row[r]! * nodes[r * m + c]! * row[c]!;
  return Math.min(1, sum);
}
