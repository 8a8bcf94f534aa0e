import { BellmouthError } from "../../fault/index.js";
import {
  BUDGET_COMPONENTS,
  budgetParts,
  COMPONENT_CORRELATION,
  smoothCorrelation,
  type TransferCurve,
} from "../../sensor/index.js";
import { readAt, referenceOf } from "./reference.js";
import type { Knowledge, RefineOptions } from "./types.js";

/**
 * What every table may be off by even where its budget claims less [1]: each cell on its own, and smoothly over flow with a
 * correlation length of 1 in ln flow. Chosen, see docs/decisions/0008. Beside these the prior is the plan's budget, no more.
 */
export const STATED_FLOORS = { cell: 0.0007, smooth: 0.005, smoothLength: 1 } as const;

/** Prior covariance of ln(true flow / table flow), split so that its two parts can be scaled apart. Row-major. */
export interface PriorParts {
  readonly common: Float64Array;
  readonly shape: Float64Array;
}

/** A jitter that keeps covariances positive definite: a thousandth of the least error told [1]. */
const jitter = 1e-6;

/**
 * Prior of a table's error: the covariance of its cells' budgets, the plan's own, and the stated floors.
 *
 * @param places ln flow of the places wanted [1]
 * @param length one correlation length for all that is smooth, in place of each component's own [1]
 * @returns covariance parts of the relative flow error [1]; at a cell the variances add to plan u^2 + stated floors^2
 */
export function priorAt(curve: TransferCurve, places: Float64Array, length?: number): PriorParts {
  const floored: TransferCurve = {
    ...curve,
    cells: curve.cells.map((cell) => ({
      ...cell,
      budget: { ...cell.budget, storage: Math.hypot(cell.budget.storage ?? 0, STATED_FLOORS.cell) },
    })),
  };
  const one =
    length === undefined
      ? {}
      : Object.fromEntries(
          BUDGET_COMPONENTS.filter((name) => typeof COMPONENT_CORRELATION[name] === "number").map((name) => [
            name,
            length,
          ]),
        );
  const { common, smooth, independent } = budgetParts(floored, { places, correlation: one });
  const n = places.length;
  for (let i = 0; i < n; i++)
    for (let j = 0; j < n; j++)
      smooth[i * n + j] =
        smooth[i * n + j]! +
        independent[i * n + j]! +
        STATED_FLOORS.smooth ** 2 *
          smoothCorrelation(places[i]!, places[j]!, length ?? STATED_FLOORS.smoothLength);
  return { common, shape: smooth };
}

/** {@link priorAt} at the cells; one at no flow stands half of the least flow below it. */
export function priorOf(curve: TransferCurve): PriorParts {
  const least = (curve.cells.find((cell) => cell.flow > 0) ?? curve.cells[1]!).flow;
  return priorAt(
    curve,
    Float64Array.from(curve.cells, ({ flow }) => Math.log(Math.max(flow, 0.5 * least))),
  );
}

/** What is known before the drives at given knots: mean of ln(true/reference flow) and covariance. */
export interface KnotPrior {
  readonly mean: Float64Array;
  readonly parts: PriorParts;
  /** Covariance by which cells that were not driven follow those that were: the unscaled prior, its smooth parts short. */
  readonly edge: Float64Array;
}

/** Correlation length of the edge rule in ln flow [1]: what was learnt where one drove says little further off. */
const edgeLength = 0.35;

/** The prior in force at knots of the curve's reference: an earlier pass's knowledge, or the table's budgets. */
export function knotPrior(curve: TransferCurve, options: RefineOptions, knots: Float64Array): KnotPrior {
  const n = knots.length;
  const lift = options.fuelScale?.value ?? 0;
  const { prior } = options;
  const fixed = (shape: Float64Array): void => {
    for (let i = 0; i < n; i++) shape[i * n + i] = shape[i * n + i]! + jitter ** 2;
  };
  if (prior === undefined) {
    const made = priorAt(curve, knots);
    const edge = priorAt(curve, knots, edgeLength);
    const whole = edge.shape.map((value, i) => value + edge.common[i]!);
    fixed(made.shape);
    fixed(whole);
    return { mean: new Float64Array(n).fill(lift), parts: made, edge: whole };
  }
  const { mean, covariance } = knowledgeAt(prior, curve, knots);
  fixed(covariance);
  return {
    mean: mean.map((value) => value + lift),
    parts: { common: new Float64Array(n * n), shape: covariance },
    edge: covariance,
  };
}

/** Earlier knowledge, read at the knots of a curve's reference. */
function knowledgeAt(
  known: Knowledge,
  curve: TransferCurve,
  knots: Float64Array,
): { readonly mean: Float64Array; readonly covariance: Float64Array } {
  const m = known.signal.length;
  const ok =
    m > 1 &&
    known.flow.length === m &&
    known.covariance.length === (m * (m + 1)) / 2 &&
    known.signal.every((s, k) => Number.isFinite(s) && (k === 0 || s >= known.signal[k - 1]!)) &&
    known.flow.every((f) => f > 0 && Number.isFinite(f)) &&
    known.covariance.every((c) => Number.isFinite(c));
  if (!ok)
    throw new BellmouthError({
      code: "E_SHAPE",
      message: "this is not what an earlier refinement left known",
      found: `${m} signals, ${known.flow.length} flows, ${known.covariance.length} covariances`,
      accepted: "as many flows above zero as rising signals, and a covariance for each pair of them once",
      at: { path: "options.prior" },
    });
  const reference = referenceOf(curve);
  // The knots of the one reference lie at other signals than those of the other.
  const { signal } = reference.knots;
  const n = knots.length;
  const at = Array.from(knots, (x) => {
    const s = readAt(signal, reference.x, x);
    let left = 0;
    while (left < m - 2 && s >= known.signal[left + 1]!) left++;
    const span = known.signal[left + 1]! - known.signal[left]!;
    return { left, share: span > 0 ? Math.min(1, Math.max(0, (s - known.signal[left]!) / span)) : 0 };
  });
  const mean = Float64Array.from(
    at,
    ({ left, share }, k) =>
      (1 - share) * Math.log(known.flow[left]!) + share * Math.log(known.flow[left + 1]!) - knots[k]!,
  );
  const entry = (r: number, c: number): number =>
    known.covariance[r >= c ? (r * (r + 1)) / 2 + c : (c * (c + 1)) / 2 + r]!;
  const covariance = new Float64Array(n * n);
  at.forEach((a, i) => {
    at.forEach((b, j) => {
      covariance[i * n + j] =
        (1 - a.share) * ((1 - b.share) * entry(a.left, b.left) + b.share * entry(a.left, b.left + 1)) +
        a.share * ((1 - b.share) * entry(a.left + 1, b.left) + b.share * entry(a.left + 1, b.left + 1));
    });
  });
  return { mean, covariance };
}
