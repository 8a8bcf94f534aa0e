import { BellmouthError } from "../../fault/index.js";
import { linearLeastSquares } from "../../fit/index.js";
import type { TrialSide } from "./run.js";

/**
 * Order of runs that keeps a steady drift (heat soak, wind getting up) out of the comparison: before, after, after, before,
 * and its mirror image in turn. An odd number on a side cannot be balanced exactly; the last two runs then stay near it.
 *
 * Where the part takes long to exchange ("few" swaps), half of the old runs come first and half last, with all new runs between.
 *
 * @param perSide runs on each side [1], a whole number from 1 to 100
 * @throws `E_DOMAIN`
 * @example
 * suggestOrder(2).indexOf("after") // ≈ 1
 */
export function suggestOrder(perSide: number, swaps: "often" | "few" = "often"): TrialSide[] {
  if (!(Number.isInteger(perSide) && perSide >= 1 && perSide <= 100)) {
    throw new BellmouthError({
      code: "E_DOMAIN",
      message: "runs on a side are a whole number",
      found: String(perSide),
      accepted: "1 to 100",
      at: { path: "perSide" },
    });
  }
  if (swaps === "few") {
    const first = Math.ceil(perSide / 2);
    return Array.from({ length: 2 * perSide }, (_, i) =>
      i >= first && i < first + perSide ? "after" : "before",
    );
  }
  const block: readonly TrialSide[] = ["before", "after", "after", "before"];
  const mirror: readonly TrialSide[] = ["after", "before", "before", "after"];
  const order = Array.from({ length: Math.floor(perSide / 2) }, (_, i) =>
    i % 2 === 0 ? block : mirror,
  ).flat();
  return perSide % 2 === 0 ? order : [...order, "before", "after"];
}

/**
 * Variance of the effect at a run variance of 1 [1], with or without a drift in the model.
 *
 * @param order sides in the order of time, evenly spaced
 * @throws `E_SINGULAR` when the order cannot tell drift from effect, `E_TOO_LITTLE_DATA` with too few runs
 */
export function effectVariance(order: readonly TrialSide[], drift: "unknown" | "linear" | "none"): number {
  const design = order.map((side, i) => [
    1,
    side === "after" ? 1 : 0,
    ...(drift !== "none" ? [i - (order.length - 1) / 2] : []),
  ]);
  const fit = linearLeastSquares(
    design,
    order.map(() => 0),
    { spread: "known" },
  );
  return fit.covariance?.[1]?.[1] as number;
}

/** Variance of the effect with a straight drift in the model, over that of the best order of as many runs [1]; 1 for a pair. */
export function orderCost(table: {
  readonly after: readonly boolean[];
  readonly time: readonly number[];
}): number {
  const n = table.after.length;
  const middle = table.time.reduce((sum, t) => sum + t, 0) / n;
  if (n < 3) return 1;
  const design = table.after.map((after, r) => [
    1,
    after ? 1 : 0,
    ((table.time[r] as number) - middle) / 3600,
  ]);
  const fit = linearLeastSquares(
    design,
    design.map(() => 0),
    { spread: "known" },
  );
  const later = table.after.filter(Boolean).length;
  return (fit.covariance?.[1]?.[1] as number) / (1 / later + 1 / (n - later));
}
