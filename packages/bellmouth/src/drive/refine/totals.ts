import { nodeCount } from "./field.js";
import { offsetHats, parts } from "./record-form.js";
import { knotCount } from "./reference.js";
import { type DriveEvidence, possibleCauses, type RefineSums } from "./types.js";

/** Unknowns common to all drives: knots, field, causes. */
export const wide = knotCount + nodeCount + possibleCauses.length;

/** A drive's own offset, as far as its evidence sees it. */
export interface OffsetEvidence {
  /** Products of the offset with the unknowns, with itself, and with what was seen. */
  readonly v: Float64Array;
  readonly q: number;
  readonly p: number;
}

/** Evidence of all drives: a quadratic form about the common unknowns, and each drive's own offset beside it. */
export interface Totals {
  readonly matrix: Float64Array;
  readonly vector: Float64Array;
  readonly offsets: readonly OffsetEvidence[];
}

/** A log that repeats another, whole or in part. */
export interface Repeat {
  readonly name: string;
  readonly share: number;
}

export interface Counted {
  /** The drives that count, in an order that their content gives. */
  readonly drives: readonly { readonly record: DriveEvidence; readonly weight: number }[];
  readonly repeats: readonly Repeat[];
}

/** From this share of repeated stretches on a log is taken for a repeat of others [1]. */
const wholeRepeat = 0.95;

const compareText = (a: string, b: string): number => (a < b ? -1 : a > b ? 1 : 0);

/**
 * Which drives count and by how much: rows that stand in two logs count once. The order is that of the records' contents, so that nothing
 * depends on the order in which logs are named.
 */
export function countOnce(sums: RefineSums): Counted {
  const sorted = sums.drives
    .filter(({ summary }) => summary.refused === null)
    .sort((a, b) => b.stretches.length - a.stretches.length || compareText(a.digest, b.digest));
  const met = new Set<string>();
  const records = new Set<string>();
  const drives: { record: DriveEvidence; weight: number }[] = [];
  const repeats: Repeat[] = [];
  for (const record of sorted) {
    const again = records.has(record.digest)
      ? 1
      : record.stretches.filter((stretch) => met.has(stretch)).length / Math.max(1, record.stretches.length);
    records.add(record.digest);
    for (const stretch of record.stretches) met.add(stretch);
    if (again > 0) repeats.push({ name: record.summary.name, share: again });
    if (again < wholeRepeat) drives.push({ record, weight: 1 - again });
  }
  return { drives, repeats };
}

/**
 * Adds drives up.
 *
 * @param about the curve told against: ln(it/reference) at the knots [1]
 * @param divide true where each drive's evidence is divided by its misfit
 */
export function totalsOf(drives: Counted["drives"], about: Float64Array, divide: boolean): Totals {
  const matrix = new Float64Array(wide * wide);
  const vector = new Float64Array(wide);
  const offsets = drives.map(({ record, weight }) => {
    const own = addRecord(record, weight / (divide ? record.summary.misfit : 1), matrix, vector);
    for (let k = 0; k < knotCount; k++) own.p -= own.v[k]! * about[k]!;
    return own;
  });
  for (let r = 0; r < wide; r++) for (let c = 0; c < r; c++) matrix[c * wide + r] = matrix[r * wide + c]!;
  for (let r = 0; r < wide; r++)
    for (let k = 0; k < knotCount; k++) vector[r] = vector[r]! - matrix[r * wide + k]! * about[k]!;
  return { matrix, vector, offsets };
}

const isOffset = (k: number): boolean => k >= parts.offset && k < parts.causes;

/** Adds a record's form to the lower triangle and the vector. @returns what its own offset sees */
function addRecord(
  record: DriveEvidence,
  by: number,
  matrix: Float64Array,
  vector: Float64Array,
): { v: Float64Array; q: number; p: number } {
  const v = new Float64Array(wide);
  let q = 0;
  let p = 0;
  let at = 0;
  for (let r = 0; r < parts.size; r++) {
    const pull = by * record.vector[r]!;
    const row = r < parts.offset ? r : r - offsetHats;
    if (isOffset(r)) p += pull;
    else vector[row] = vector[row]! + pull;
    for (let c = 0; c <= r; c++, at++) {
      const value = record.matrix[at]!;
      if (value === 0) continue;
      const w = by * value;
      const column = c < parts.offset ? c : c - offsetHats;
      if (isOffset(r) && isOffset(c)) q += r === c ? w : 2 * w;
      else if (isOffset(r)) v[column] = v[column]! + w;
      else if (isOffset(c)) v[row] = v[row]! + w;
      else matrix[row * wide + column] = matrix[row * wide + column]! + w;
    }
  }
  return { v, q, p };
}

/**
 * The totals of the knots alone, divided by misfit.
 *
 * @param about as in {@link totalsOf}
 */
export function knotTotals(
  drives: Counted["drives"],
  about: Float64Array,
): { readonly matrix: Float64Array; readonly vector: Float64Array } {
  const n = knotCount;
  const matrix = new Float64Array(n * n);
  const vector = new Float64Array(n);
  for (const { record, weight } of drives) addKnots(record, weight / record.summary.misfit, matrix, vector);
  for (let r = 0; r < n; r++) for (let c = 0; c < r; c++) matrix[c * n + r] = matrix[r * n + c]!;
  for (let r = 0; r < n; r++)
    for (let k = 0; k < n; k++) vector[r] = vector[r]! - matrix[r * n + k]! * about[k]!;
  return { matrix, vector };
}

/** Adds a record's knots, which lead its form, to the lower triangle and the vector. */
function addKnots(record: DriveEvidence, by: number, matrix: Float64Array, vector: Float64Array): void {
  let at = 0;
  for (let r = 0; r < knotCount; r++) {
    vector[r] = vector[r]! + by * record.vector[r]!;
    for (let c = 0; c <= r; c++, at++) {
      const i = r * knotCount + c;
      matrix[i] = matrix[i]! + by * record.matrix[at]!;
    }
  }
}

/** The totals with the drives' own offsets integrated out, and what that adds to ln evidence. */
export function withoutOffsets(
  totals: Totals,
  sd: number,
): { readonly matrix: Float64Array; readonly vector: Float64Array; readonly logEvidence: number } {
  if (!(sd > 0)) return { matrix: totals.matrix, vector: totals.vector, logEvidence: 0 };
  const matrix = Float64Array.from(totals.matrix);
  const vector = Float64Array.from(totals.vector);
  let logEvidence = 0;
  for (const { v, q, p } of totals.offsets) {
    const whole = q + 1 / sd ** 2;
    for (let r = 0; r < wide; r++) {
      const share = v[r]! / whole;
      if (share === 0) continue;
      vector[r] = vector[r]! - share * p;
      for (let c = 0; c < wide; c++) matrix[r * wide + c] = matrix[r * wide + c]! - share * v[c]!;
    }
    logEvidence += p ** 2 / (2 * whole) - 0.5 * Math.log(1 + q * sd ** 2);
  }
  return { matrix, vector, logEvidence };
}
