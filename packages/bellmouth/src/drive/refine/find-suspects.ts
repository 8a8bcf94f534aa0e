import type { TransferCurve } from "../../sensor/index.js";
import { empiricalPosterior, type Posterior, weighed } from "./posterior.js";
import type { PriorParts } from "./prior.js";
import { type RefineSums, type Suspect, type SuspectFinding, suspects } from "./types.js";

/**
 * ln of the odds from which a suspect is believed: 20 to 1.
 *
 * @source R. E. Kass, A. E. Raftery, J. Am. Stat. Assoc. 90 (1995) 773-795: from 20 to 1 on, evidence is called strong.
 */
export const strongOdds = 3;
/** How many standard uncertainties its size must be from nothing. */
const strongSize = 3;
/**
 * ln of the odds, and standard uncertainties, from which a leak is also set apart from the table: 1000 to 1. A leak named in vain costs a look
 * at some hoses; one set apart in vain takes its air out of the table, and the engine runs lean at idle.
 */
const certainOdds = 7;
const certainSize = 5;
/**
 * Time under load from which a leak is told from the table [s]. With less, what is told apart rests on the few rows of passing
 * load, where errors of the transient law pass for a leak.
 */
const leastLoaded = 100;

export interface Suspicion {
  readonly findings: readonly SuspectFinding[];
  /** Posterior of the cells with the believed suspect set apart; null when none is that certain. */
  readonly accepted: { readonly mean: Float64Array; readonly covariance: Float64Array } | null;
  /** What is named; null when nothing is. */
  readonly believed: SuspectFinding | null;
}

/** Prior spread of each suspect's size: what would shift the least driven flow by a tenth, a leak by a quarter. */
function spreads(curve: TransferCurve, sums: RefineSums): { readonly [suspect in Suspect]: number } {
  const first = sums.seconds.findIndex((time) => time > 0.5);
  const flow = curve.cells[Math.max(0, first)]!.flow || curve.cells[1]!.flow;
  const place = sums.places[Math.max(0, first)]!;
  const speed = place.time > 0 ? place.speed / place.time : 15;
  return { leak: 0.25 * flow, "injector offset": (0.1 * flow) / speed, "exhaust leak": 0.1 };
}

/** A covariance with one more row and column, independent of the others. */
function bordered(matrix: Float64Array, n: number, variance: number): Float64Array {
  const m = n + 1;
  const out = new Float64Array(m * m);
  for (let r = 0; r < n; r++) out.set(matrix.subarray(r * n, r * n + n), r * m);
  out[n * m + n] = variance;
  return out;
}

/**
 * Weighs each suspect against the table alone by the evidence: the drives' likelihood averaged over the prior, with and without.
 * A leak and an exhaust leak can only be there or not, never negative.
 */
export function findSuspects(
  curve: TransferCurve,
  sums: RefineSums,
  parts: PriorParts,
  without: Posterior,
): Suspicion {
  const n = curve.cells.length;
  const size = n + suspects.length;
  const spread = spreads(curve, sums);
  let accepted: Suspicion["accepted"] = null;
  let believed: SuspectFinding | null = null;
  const findings = suspects.flatMap((suspect, s): SuspectFinding[] => {
    const at = n + s;
    if (!(sums.matrix[at * size + at]! > 0)) return [];
    const m = n + 1;
    const pick = (k: number): number => (k < n ? k : at);
    const matrix = new Float64Array(m * m);
    const vector = new Float64Array(m);
    for (let r = 0; r < m; r++) {
      vector[r] = sums.vector[pick(r)]!;
      for (let c = 0; c < m; c++) matrix[r * m + c] = sums.matrix[pick(r) * size + pick(c)]!;
    }
    const widened = {
      common: bordered(parts.common, n, 0),
      shape: bordered(parts.shape, n, 0),
      own: bordered(parts.own, n, spread[suspect] ** 2),
    };
    const best = empiricalPosterior(widened, matrix, vector, m);
    if (best === null) return [];
    const value = best.mean[n]!;
    const u = Math.sqrt(best.covariance[n * m + n]!);
    const logOdds = weighed(best) - weighed(without);
    const finding: SuspectFinding = { suspect, size: value, u, logOdds };
    const told = suspect === "leak" && sums.loaded >= leastLoaded;
    if (told && logOdds > strongOdds && value > strongSize * u) believed = finding;
    if (told && logOdds > certainOdds && value > certainSize * u) {
      const covariance = new Float64Array(n * n);
      for (let r = 0; r < n; r++)
        for (let c = 0; c < n; c++) covariance[r * n + c] = best.covariance[r * m + c]!;
      accepted = { mean: best.mean.slice(0, n), covariance };
    }
    return [finding];
  });
  // Of the others the best is named where it is certain and clearly better than a leak; the table is not changed for it.
  for (const finding of findings) {
    const certain = finding.logOdds > certainOdds && Math.abs(finding.size) > certainSize * finding.u;
    const least = believed === null ? 0 : (believed as SuspectFinding).logOdds + strongOdds;
    if (finding.suspect !== "leak" && certain && finding.logOdds > least) believed = finding;
  }
  return { findings, accepted, believed };
}
