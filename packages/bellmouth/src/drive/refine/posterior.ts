import { backwardSolve, choleskyFactor, choleskyInverse, forwardSolve, logDeterminant } from "./cholesky.js";
import type { PriorParts } from "./prior.js";
import { addScaled } from "./series.js";

/** Variance factors that the prior's two parts may be scaled by [1], weighed by evidence. */
export const scaleFactors = [0.25, 0.5, 1, 2, 4, 8] as const;

/** Prior of the curve, prepared once for all that is solved with it. */
export interface PriorBasis {
  readonly n: number;
  readonly parts: PriorParts;
  /** Lower factor of the shape's covariance, row-major. */
  readonly factor: Float64Array;
  /** What is common to all places, as columns whose outer products add to the common covariance. */
  readonly common: readonly Float64Array[];
}

/** @returns null where the shape's covariance is not positive definite */
export function priorBasis(parts: PriorParts, n: number): PriorBasis | null {
  const factor = choleskyFactor(parts.shape, n);
  return factor === null ? null : { n, parts, factor, common: columnsOf(parts.common, n) };
}

/** Columns of a covariance of low rank, by pivoted Cholesky. */
function columnsOf(covariance: Float64Array, n: number): Float64Array[] {
  const left = Float64Array.from({ length: n }, (_, i) => covariance[i * n + i]!);
  let most = 0;
  for (const value of left) if (value > most) most = value;
  const out: Float64Array[] = [];
  while (out.length < n) {
    let pivot = 0;
    for (let i = 1; i < n; i++) if (left[i]! > left[pivot]!) pivot = i;
    if (!(left[pivot]! > 1e-10 * most) || most === 0) break;
    const root = Math.sqrt(left[pivot]!);
    const column = new Float64Array(n);
    for (let i = 0; i < n; i++) {
      let value = covariance[i * n + pivot]!;
      for (const done of out) value -= done[i]! * done[pivot]!;
      column[i] = value / root;
      left[i] = Math.max(0, left[i]! - column[i]! ** 2);
    }
    left[pivot] = 0;
    out.push(column);
  }
  return out;
}

/** A quadratic form -x'Ax/2 + b'x over the curve's places and, behind them, the causes. */
export interface Form {
  readonly matrix: Float64Array;
  readonly vector: Float64Array;
  readonly logEvidence: number;
}

/** A form prepared with a prior: the factors for every scale of the shape are shared by all that is asked of it. */
export interface Prepared {
  readonly basis: PriorBasis;
  readonly form: Form;
  readonly size: number;
  /** L'b, and for each scale the factor of L'AL + I/scale. */
  readonly d: Float64Array;
  readonly factors: readonly Float64Array[];
}

export function prepareForm(basis: PriorBasis, form: Form): Prepared {
  const { n, factor: L } = basis;
  const size = form.vector.length;
  const AL = new Float64Array(n * n);
  for (let r = 0; r < n; r++)
    for (let k = 0; k < n; k++) addRow(AL, r * n, form.matrix[r * size + k]!, L, k * n, k + 1);
  const LAL = new Float64Array(n * n);
  const d = new Float64Array(n);
  for (let k = 0; k < n; k++)
    for (let r = 0; r <= k; r++) {
      const l = L[k * n + r]!;
      addRow(LAL, r * n, l, AL, k * n, n);
      d[r] = d[r]! + l * form.vector[k]!;
    }
  const factors = scaleFactors.map((scale) => {
    const W = Float64Array.from(LAL);
    for (let r = 0; r < n; r++) W[r * n + r] = W[r * n + r]! + 1 / scale;
    const made = choleskyFactor(W, n);
    // Rounding may leave an eigenvalue of L'AL a hair below zero: its share is nothing.
    if (made !== null) return made;
    for (let r = 0; r < n; r++) W[r * n + r] = W[r * n + r]! * (1 + 1e-9) + 1e-6;
    return choleskyFactor(W, n)!;
  });
  return { basis, form, size, d, factors };
}

/** The mean alone, for one prior given by its lower factor: what a fit begins at. */
export function meanBy(L: Float64Array, matrix: Float64Array, vector: Float64Array, n: number): Float64Array {
  const AL = new Float64Array(n * n);
  for (let r = 0; r < n; r++)
    for (let k = 0; k < n; k++) addRow(AL, r * n, matrix[r * n + k]!, L, k * n, k + 1);
  const W = new Float64Array(n * n);
  for (let k = 0; k < n; k++) for (let r = 0; r <= k; r++) addRow(W, r * n, L[k * n + r]!, AL, k * n, r + 1);
  for (let r = 0; r < n; r++) W[r * n + r] = W[r * n + r]! + 1;
  const factor = choleskyFactor(W, n);
  if (factor === null) return new Float64Array(n);
  return throughLower(L, backwardSolve(factor, n, forwardSolve(factor, n, throughUpper(L, vector, n))), n);
}

/** into[at …] + factor * row[from …], `count` numbers, in place. */
export function addRow(
  into: Float64Array,
  at: number,
  factor: number,
  row: Float64Array,
  from: number,
  count: number,
): void {
  if (factor === 0) return;
  for (let c = 0; c < count; c++) into[at + c] = into[at + c]! + factor * row[from + c]!;
}

/** A cause whose size is estimated beside the curve: its place among those behind the curve, and the prior spread of its size. */
export interface CauseColumn {
  readonly index: number;
  readonly spread: number;
}

/** One choice of scales: how likely it is, and the extras (common columns, then the cause) given the data. */
interface Candidate {
  readonly common: number;
  readonly shape: number;
  readonly logEvidence: number;
  readonly extras: Float64Array;
  /** Covariance of the extras, row-major. */
  readonly spread: Float64Array;
  readonly at: number;
}

/** What a form says with a prior, for every choice of its scales. */
export interface Explained {
  readonly prepared: Prepared;
  readonly cause: CauseColumn | null;
  readonly candidates: readonly Candidate[];
  /** ln of the evidence, averaged over the scales [1]. */
  readonly logEvidence: number;
}

/** ln of the mean of exp(values) weighed by weights. */
export function logMean(values: readonly number[], weights: readonly number[] = values.map(() => 1)): number {
  let top = Number.NEGATIVE_INFINITY;
  for (const value of values) if (value > top) top = value;
  let sum = 0;
  let whole = 0;
  values.forEach((value, k) => {
    sum += weights[k]! * Math.exp(value - top);
    whole += weights[k]!;
  });
  return top + Math.log(sum / whole);
}

/** Prior of the scales: a factor e of variance is a standard deviation; the plan's budget is a statement, not a law. */
const scalePrior = (common: number, shape: number): number =>
  -0.5 * (Math.log(common) ** 2 + Math.log(shape) ** 2);

/** Weighs every choice of scales by its evidence, with a cause beside the curve or without. */
export function explain(prepared: Prepared, cause: CauseColumn | null): Explained {
  const { basis, form, size, factors } = prepared;
  const { n, factor: L, common } = basis;
  // Columns of the extras: what each does, times the form; and the same seen through the prior's factor.
  const applied = common.map((column) => times(form.matrix, size, column));
  if (cause !== null) applied.push(columnOf(form.matrix, size, n + cause.index));
  const seen = applied.map((column) => throughUpper(L, column, n));
  const candidates: Candidate[] = [];
  for (let s = 0; s < factors.length; s++) {
    const base = baseOf(prepared, cause, applied, seen, s);
    for (const scale of common.length === 0 ? [1] : scaleFactors) {
      const candidate = candidateOf(base, scale, scaleFactors[s]!, common.length, cause);
      if (candidate !== null) candidates.push(candidate);
    }
  }
  return {
    prepared,
    cause,
    candidates,
    logEvidence: logMean(candidates.map((one) => one.logEvidence)),
  };
}

/** What is the same for all scales of the common part: information and vector of the extras, the curve integrated out. */
interface Base {
  readonly at: number;
  readonly logEvidence: number;
  readonly information: Float64Array;
  readonly vector: Float64Array;
}

function baseOf(
  { basis, form, d, factors }: Prepared,
  cause: CauseColumn | null,
  applied: readonly Float64Array[],
  seen: readonly Float64Array[],
  at: number,
): Base {
  const { n, common } = basis;
  const factor = factors[at]!;
  const dd = forwardSolve(factor, n, d);
  const q = applied.length;
  const solved = seen.map((column) => forwardSolve(factor, n, column));
  const information = new Float64Array(q * q);
  const vector = new Float64Array(q);
  for (let a = 0; a < q; a++) {
    const of = (column: Float64Array): number =>
      a < common.length ? dot(common[a]!, column) : column[n + cause!.index]!;
    vector[a] = of(form.vector) - dot(solved[a]!, dd);
    for (let b = 0; b < q; b++) information[a * q + b] = of(applied[b]!) - dot(solved[a]!, solved[b]!);
  }
  const logEvidence =
    form.logEvidence +
    0.5 * dot(dd, dd) -
    0.5 * logDeterminant(factor, n) -
    0.5 * n * Math.log(scaleFactors[at]!);
  return { at, logEvidence, information, vector };
}

function candidateOf(
  base: Base,
  scale: number,
  shape: number,
  commons: number,
  cause: CauseColumn | null,
): Candidate | null {
  const q = base.vector.length;
  const M = Float64Array.from(base.information);
  let variances = 0;
  for (let a = 0; a < q; a++) {
    const variance = a < commons ? scale : cause!.spread ** 2;
    M[a * q + a] = Math.max(0, M[a * q + a]!) + 1 / variance;
    variances += Math.log(variance);
  }
  const inner = choleskyFactor(M, q);
  if (inner === null) return null;
  const half = forwardSolve(inner, q, base.vector);
  return {
    common: scale,
    shape,
    logEvidence:
      base.logEvidence +
      0.5 * dot(half, half) -
      0.5 * logDeterminant(inner, q) -
      0.5 * variances +
      scalePrior(scale, shape),
    extras: backwardSolve(inner, q, half),
    spread: choleskyInverse(inner, q),
    at: base.at,
  };
}

/** The leading columns of a matrix times a vector. */
function times(matrix: Float64Array, size: number, vector: Float64Array): Float64Array {
  const out = new Float64Array(size);
  for (let r = 0; r < size; r++) {
    let sum = 0;
    for (let k = 0; k < vector.length; k++) sum += matrix[r * size + k]! * vector[k]!;
    out[r] = sum;
  }
  return out;
}

function columnOf(matrix: Float64Array, size: number, k: number): Float64Array {
  const out = new Float64Array(size);
  for (let r = 0; r < size; r++) out[r] = matrix[r * size + k]!;
  return out;
}

function dot(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let k = 0; k < a.length; k++) sum += a[k]! * b[k]!;
  return sum;
}

/** Posterior of the curve over all that is likely. */
export interface Posterior {
  readonly mean: Float64Array;
  /** Row-major [1]. */
  readonly covariance: Float64Array;
  /** Variance factors of the prior's parts, the mean over what is likely [1]. */
  readonly scales: { readonly common: number; readonly shape: number };
  /** Size of the cause and its standard uncertainty; null without one. */
  readonly cause: { readonly size: number; readonly u: number } | null;
}

/** What is this much less likely than the best takes no part in the mean [ln]. */
const negligible = 8;

/** An explanation among others, and the ln of its weight beside its own evidence. */
export interface Weighed {
  readonly one: Explained;
  readonly lnWeight: number;
}

/** What is likely enough to take part in a mean, with its share of the whole. */
function likely(explained: readonly Weighed[]): { one: Explained; candidate: Candidate; share: number }[] {
  let top = Number.NEGATIVE_INFINITY;
  for (const { one, lnWeight } of explained)
    for (const { logEvidence } of one.candidates)
      if (logEvidence + lnWeight > top) top = logEvidence + lnWeight;
  const taking = explained.flatMap(({ one, lnWeight }) =>
    one.candidates
      .map((candidate) => ({ one, candidate, share: Math.exp(candidate.logEvidence + lnWeight - top) }))
      .filter(({ share }) => share > Math.exp(-negligible)),
  );
  const whole = taking.reduce((sum, { share }) => sum + share, 0);
  for (const each of taking) each.share /= whole;
  return taking;
}

/** Size of the cause beside the curve and its standard uncertainty [1], over several explanations that all hold it. */
export function causeOver(explained: readonly Weighed[]): { readonly size: number; readonly u: number } {
  const taking = likely(explained);
  const size = taking.reduce((sum, { share, candidate }) => sum + share * candidate.extras.at(-1)!, 0);
  const second = taking.reduce((sum, { share, candidate: { spread, extras } }) => {
    return sum + share * (spread.at(-1)! + (extras.at(-1)! - size) ** 2);
  }, 0);
  return { size, u: Math.sqrt(second) };
}

/** The mean alone of {@link posteriorOver}. */
export function meanOver(explained: readonly Weighed[]): Float64Array {
  const mean = new Float64Array(explained[0]!.one.prepared.basis.n);
  for (const { one, candidate, share } of likely(explained))
    addScaled(mean, share, meanOf(one, candidate).mean);
  return mean;
}

/**
 * Mean and covariance over several explanations and the scales of each, as likely as their evidence and the weights given say.
 *
 * @param explained all without a cause, or all with the same
 */
export function posteriorOver(explained: readonly Weighed[]): Posterior {
  const { n } = explained[0]!.one.prepared.basis;
  const solved = likely(explained).map((each) => ({ ...each, ...meanOf(each.one, each.candidate) }));
  const mean = new Float64Array(n);
  let common = 0;
  let shape = 0;
  for (const { share, mean: m, candidate } of solved) {
    addScaled(mean, share, m);
    common += share * candidate.common;
    shape += share * candidate.shape;
  }
  const covariance = new Float64Array(n * n);
  // One transform of the summed inverse for each form: L (sum of w W^-1) L'.
  const inverses = new Map<Prepared, Float64Array>();
  for (const { share, one, candidate, mean: m, response } of solved) {
    const { prepared } = one;
    const sum = inverses.get(prepared) ?? new Float64Array(n * n);
    inverses.set(prepared, sum);
    addScaled(sum, share, inverseOf(prepared, candidate.at));
    const off = m.map((value, k) => value - mean[k]!);
    addOuter(covariance, share, off, off);
    const q = response.length;
    for (let a = 0; a < q; a++) {
      const spread = new Float64Array(n);
      for (let b = 0; b < q; b++) addScaled(spread, candidate.spread[a * q + b]!, response[b]!);
      addOuter(covariance, share, response[a]!, spread);
    }
  }
  for (const [prepared, sum] of inverses) addTransformed(covariance, prepared.basis.factor, sum, n);
  return {
    mean,
    covariance,
    scales: { common, shape },
    cause: explained[0]!.one.cause === null ? null : causeOver(explained),
  };
}

/** into + factor * a b', in place. */
function addOuter(into: Float64Array, factor: number, a: Float64Array, b: Float64Array): void {
  const n = a.length;
  for (let r = 0; r < n; r++) addRow(into, r * n, factor * a[r]!, b, 0, n);
}

const kept = new WeakMap<Prepared, Map<number, Float64Array>>();
/** Inverse of L'AL + I/scale, made once. */
function inverseOf(prepared: Prepared, at: number): Float64Array {
  const made = kept.get(prepared) ?? new Map<number, Float64Array>();
  kept.set(prepared, made);
  const inverse = made.get(at) ?? choleskyInverse(prepared.factors[at]!, prepared.basis.n);
  made.set(at, inverse);
  return inverse;
}

/** The curve's mean for one choice, and how it answers to each of the extras. */
function meanOf(
  { prepared, cause }: Explained,
  candidate: Candidate,
): { readonly mean: Float64Array; readonly response: readonly Float64Array[] } {
  const { basis, form, size, d, factors } = prepared;
  const { n, factor: L, common } = basis;
  const factor = factors[candidate.at]!;
  const solve = (right: Float64Array): Float64Array =>
    throughLower(L, backwardSolve(factor, n, forwardSolve(factor, n, right)), n);
  const answer = (column: Float64Array, seen: Float64Array): Float64Array => {
    const out = Float64Array.from(column);
    addScaled(out, -1, solve(throughUpper(L, seen, n)));
    return out;
  };
  const response = common.map((column) => answer(column, times(form.matrix, size, column)));
  if (cause !== null)
    response.push(answer(new Float64Array(n), columnOf(form.matrix, size, n + cause.index)));
  const mean = solve(d);
  response.forEach((column, e) => {
    addScaled(mean, candidate.extras[e]!, column);
  });
  return { mean, response };
}

function throughLower(L: Float64Array, z: Float64Array, n: number): Float64Array {
  const out = new Float64Array(n);
  for (let r = 0; r < n; r++) for (let k = 0; k <= r; k++) out[r] = out[r]! + L[r * n + k]! * z[k]!;
  return out;
}

function throughUpper(L: Float64Array, y: Float64Array, n: number): Float64Array {
  const out = new Float64Array(n);
  for (let k = 0; k < n; k++) for (let r = 0; r <= k; r++) out[r] = out[r]! + L[k * n + r]! * y[k]!;
  return out;
}

/** into + L S L', in place; S symmetric. */
function addTransformed(into: Float64Array, L: Float64Array, S: Float64Array, n: number): void {
  const LS = new Float64Array(n * n);
  for (let r = 0; r < n; r++) for (let k = 0; k <= r; k++) addRow(LS, r * n, L[r * n + k]!, S, k * n, n);
  for (let r = 0; r < n; r++)
    for (let c = 0; c <= r; c++) {
      let sum = 0;
      for (let k = 0; k <= c; k++) sum += LS[r * n + k]! * L[c * n + k]!;
      into[r * n + c] = into[r * n + c]! + sum;
      if (r !== c) into[c * n + r] = into[c * n + r]! + sum;
    }
}
