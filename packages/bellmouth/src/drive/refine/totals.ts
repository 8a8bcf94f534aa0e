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
  const place = (k: number): number => (k < parts.offset ? k : k - offsetHats);
  const offsets = drives.map(({ record, weight }): OffsetEvidence => {
    const by = weight / (divide ? record.summary.misfit : 1);
    const v = new Float64Array(wide);
    let q = 0;
    let p = 0;
    let at = 0;
    const isOffset = (k: number): boolean => k >= parts.offset && k < parts.causes;
    for (let r = 0; r < parts.size; r++) {
      const pull = by * record.vector[r]!;
      if (isOffset(r)) p += pull;
      else vector[place(r)] = vector[place(r)]! + pull;
      for (let c = 0; c <= r; c++, at++) {
        const value = record.matrix[at]!;
        if (value === 0) continue;
        const w = by * value;
        if (isOffset(r) && isOffset(c)) q += r === c ? w : 2 * w;
        else if (isOffset(r)) v[place(c)] = v[place(c)]! + w;
        else if (isOffset(c)) v[place(r)] = v[place(r)]! + w;
        else {
          const i = place(r) * wide + place(c);
          matrix[i] = matrix[i]! + w;
          if (r !== c) {
            const j = place(c) * wide + place(r);
            matrix[j] = matrix[j]! + w;
          }
        }
      }
    }
    for (let k = 0; k < knotCount; k++) p -= v[k]! * about[k]!;
    return { v, q, p };
  });
  for (let r = 0; r < wide; r++)
    for (let k = 0; k < knotCount; k++) vector[r] = vector[r]! - matrix[r * wide + k]! * about[k]!;
  return { matrix, vector, offsets };
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
