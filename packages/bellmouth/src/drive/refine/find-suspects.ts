import type { TransferCurve } from "../../sensor/index.js";
import { type Posterior, posteriorOf } from "./posterior.js";
import type { PriorParts } from "./prior.js";
import { type RefineSums, type Suspect, type SuspectFinding, suspects } from "./types.js";

/** ln of the odds from which a suspect is believed: about 150 to 1. */
export const strongOdds = 5;
/** How many standard uncertainties its size must be from nothing. */
const strongSize = 4;

export interface Suspicion {
  readonly findings: readonly SuspectFinding[];
  /** Posterior of the cells with the believed suspect in place; null when none is believed. */
  readonly accepted: { readonly mean: Float64Array; readonly covariance: Float64Array } | null;
  readonly believed: Suspect | null;
}

/** Prior spread of each suspect's size: what would shift the least driven flow by about a tenth. */
function spreads(curve: TransferCurve, sums: RefineSums): { readonly [suspect in Suspect]: number } {
  const first = sums.seconds.findIndex((time) => time > 0.5);
  const flow = curve.cells[Math.max(0, first)]!.flow || curve.cells[1]!.flow;
  const place = sums.places[Math.max(0, first)]!;
  const speed = place.time > 0 ? place.speed / place.time : 15;
  return { leak: 0.1 * flow, "injector offset": (0.1 * flow) / speed, "exhaust leak": 0.1 };
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
  let believed: Suspect | null = null;
  let bestOdds = strongOdds;
  const findings = suspects.flatMap((suspect, s): SuspectFinding[] => {
    const at = n + s;
    if (!(sums.matrix[at * size + at]! > 0)) return [];
    const m = n + 1;
    const pick = (k: number): number => (k < n ? k : at);
    const matrix = new Float64Array(m * m);
    const vector = new Float64Array(m);
    const prior = new Float64Array(m * m);
    for (let r = 0; r < m; r++) {
      vector[r] = sums.vector[pick(r)]!;
      for (let c = 0; c < m; c++) matrix[r * m + c] = sums.matrix[pick(r) * size + pick(c)]!;
    }
    let best: ReturnType<typeof posteriorOf> = null;
    let bestValue = Number.NEGATIVE_INFINITY;
    for (const scale of [1, 0.25]) {
      const { common, shape } = without.scales;
      for (let r = 0; r < n; r++)
        for (let c = 0; c < n; c++) {
          const i = r * n + c;
          prior[r * m + c] = scale * (common * parts.common[i]! + shape * parts.shape[i]!) + parts.own[i]!;
        }
      prior[n * m + n] = spread[suspect] ** 2;
      const found = posteriorOf(prior, matrix, vector, m);
      if (found === null) continue;
      const value = found.logEvidence - 0.5 * Math.log(scale) ** 2;
      if (value > bestValue) {
        bestValue = value;
        best = found;
      }
    }
    if (best === null) return [];
    const value = best.mean[n]!;
    const u = Math.sqrt(best.covariance[n * m + n]!);
    const logOdds = bestValue - without.logEvidence;
    const possible = suspect === "injector offset" || value > 0;
    if (suspect === "leak" && possible && logOdds > bestOdds && Math.abs(value) > strongSize * u) {
      bestOdds = logOdds;
      believed = suspect;
      const covariance = new Float64Array(n * n);
      for (let r = 0; r < n; r++)
        for (let c = 0; c < n; c++) covariance[r * n + c] = best.covariance[r * m + c]!;
      accepted = { mean: best.mean.slice(0, n), covariance };
    }
    return [{ suspect, size: value, u, logOdds }];
  });
  return { findings, accepted, believed };
}
