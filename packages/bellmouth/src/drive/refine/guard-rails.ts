import { isotonic } from "../../curve/index.js";

/** Smallest rise from cell to cell that still counts as strictly increasing, relative [1]. */
const leastRise = 1e-6;

export interface RailedFlows {
  /** [kg/s], strictly increasing */
  readonly flow: readonly number[];
  readonly held: readonly ("largest change" | "order" | null)[];
}

/**
 * Keeps a refinement inside its rails: no cell changes by more than `largest` in one pass, and the table stays strictly
 * increasing (pooled where the estimate folds).
 *
 * @param flow     table before [kg/s], strictly increasing
 * @param estimate ln(after/before) wanted [1]
 * @param largest  largest change [1], > 0
 */
export function guardRails(
  flow: readonly number[],
  estimate: readonly number[],
  largest: number,
): RailedFlows {
  const held: ("largest change" | "order" | null)[] = [];
  const clipped = flow.map((value, i) => {
    const wanted = estimate[i]!;
    const limit = Math.log1p(largest);
    held[i] = Math.abs(wanted) > limit ? "largest change" : null;
    return value * Math.exp(Math.max(-limit, Math.min(limit, wanted)));
  });
  const pooled = isotonic(clipped);
  let previous = Number.NEGATIVE_INFINITY;
  const rising = pooled.map((value, i) => {
    const least =
      previous > 0 ? previous * (1 + leastRise) : previous < 0 ? value : previous + Number.MIN_VALUE;
    const next = value > previous && value >= least ? value : least;
    if (next !== clipped[i]) held[i] = "order";
    previous = next;
    return next;
  });
  return { flow: rising, held };
}
