import type { Rows } from "../../fit/index.js";
import type { LawData } from "./check-points.js";
import { type LawCurve, type LawForm, logFlow } from "./law-curve.js";
import { bestPolynomial, type FittedCurve, polynomialFit, quickPolynomial } from "./polynomial-law.js";
import type { LawResidual, TransferLaw } from "./transfer-law.js";
import { fitShiftedLog, searchShiftedLog } from "./variable-projection.js";

export interface FitLawOptions {
  readonly form: LawForm;
  /** Degree of a polynomial form [1]; chosen by leave-one-out error when left out. */
  readonly degree?: number;
  /** Highest degree that may be chosen [1]; 5 when left out. */
  readonly highestDegree?: number;
  /**
   * "squares" trusts every point alike; "student-t" (four degrees of freedom) lets points far from the rest count
   * less, and reports their weights.
   */
  readonly loss?: "squares" | "student-t";
  /** Whether the points' uncertainties are only relative to one another ("estimate") or absolute ("known"). */
  readonly spread?: "estimate" | "known";
}

const HIGHEST_DEGREE = 5;

/**
 * One form fitted with given weights.
 *
 * @throws `E_SINGULAR`
 */
export function weightedFit(all: LawData, options: FitLawOptions, weights: readonly number[]): FittedCurve {
  const spread = options.spread ?? "estimate";
  const data = condensed(all, weights);
  const { weight } = data;
  if (options.form === "shifted power" || options.form === "king") {
    return shiftedFit(data, options.form, all.signal[0] as number, spread);
  }
  const { form } = options;
  return options.degree === undefined
    ? bestPolynomial(data, form, weight, spread, options.highestDegree ?? HIGHEST_DEGREE)
    : polynomialFit(data, form, options.degree, weight, spread);
}

/** Most points that a law is fitted to one by one. */
const MOST_POINTS = 2000;

/**
 * Neighbouring points of a very long table put together, as means of equal count with the sum of their weights: a
 * thousandth of the range is straight to far below any table's accuracy, and the fit stays fast.
 */
function condensed({ signal, y }: LawData, weight: readonly number[]): LawData {
  const n = y.length;
  if (n <= MOST_POINTS) return { signal, y, weight };
  const groups = MOST_POINTS / 2;
  const sums = Array.from({ length: groups }, () => [0, 0, 0] as [number, number, number]);
  for (let i = 0; i < n; i++) {
    const sum = sums[Math.floor((i * groups) / n)] as [number, number, number];
    const w = weight[i] as number;
    sum[0] += w;
    sum[1] += w * (signal[i] as number);
    sum[2] += w * (y[i] as number);
  }
  const kept = sums.filter(([w]) => w > 0);
  return {
    signal: kept.map(([w, s]) => s / w),
    y: kept.map(([w, , v]) => v / w),
    weight: kept.map(([w]) => w),
  };
}

/** @param least signal that the law must reach down to: the first, which a group's mean would lie above */
function shiftedFit(
  { signal, y, weight }: LawData,
  form: "shifted power" | "king",
  least: number,
  spread: "estimate" | "known",
): FittedCurve {
  const turned = (s: number): number => (form === "king" ? s * s : s);
  const fit = fitShiftedLog({ g: signal.map(turned), y, weight, least: turned(least) }, spread);
  const { slope: p, level, reference, g0 } = fit;
  if (form === "shifted power") {
    const c = Math.exp(level - p * reference);
    // rows: c, shift, exponent by level, slope, g0
    const turn = [
      [c, -c * reference, 0],
      [0, 0, 1],
      [0, 1, 0],
    ];
    return {
      curve: { form, c, shift: g0, exponent: p },
      status: fit.status,
      covariance: transformed(fit.covariance, turn),
    };
  }
  const b = Math.exp(reference - level / p);
  const turn = [
    [0, 0, 1],
    [-b / p, (b * level) / (p * p), 0],
    [0, -1 / (p * p), 0],
  ];
  return {
    curve: { form, a: g0, b, n: 1 / p },
    status: fit.status,
    covariance: transformed(fit.covariance, turn),
  };
}

/** turn * covariance * turn' */
function transformed(covariance: Rows, turn: Rows): number[][] {
  const half = turn.map((row) =>
    covariance.map((_, j) =>
      row.reduce((sum, t, k) => sum + t * ((covariance[k] as readonly number[])[j] as number), 0),
    ),
  );
  return half.map((row) => turn.map((other) => other.reduce((sum, t, k) => sum + t * (row[k] as number), 0)));
}

type Polynomial = Extract<LawCurve, { readonly series: unknown }>;
export const isPolynomial = (curve: LawCurve): curve is Polynomial =>
  curve.form === "log polynomial" || curve.form === "log-log polynomial";

/** ln(flow) over signal by a law's form fitted to other points by the search alone; it must reach down to `least`. */
export function shiftedSearch(
  { signal, y, weight }: LawData,
  curve: Exclude<LawCurve, Polynomial>,
  least: number,
): (signal: number) => number {
  const turn = (s: number): number => (curve.form === "king" ? s * s : s);
  const near = curve.form === "king" ? curve.a : curve.shift;
  const law = searchShiftedLog({ g: signal.map(turn), y, weight, least: turn(least) }, near);
  return (s) => law(turn(s));
}

/**
 * ln(flow) over signal by a law's form (and degree) fitted anew to some of its points, with their robust weights. NaN
 * where the new fit has no value.
 */
export function refitted(law: TransferLaw, seen: readonly LawResidual[]): (signal: number) => number {
  const sorted = [...seen].sort((a, b) => a.signal - b.signal);
  const data = condensed(
    {
      signal: sorted.map((point) => point.signal),
      y: sorted.map((point) => Math.log(point.flow)),
      weight: [],
    },
    sorted.map((point) => point.weight),
  );
  const { curve } = law;
  if (!isPolynomial(curve)) return shiftedSearch(data, curve, (sorted[0] as LawResidual).signal);
  const degree = curve.series.coefficients.length - 1;
  if (!(data.y.length > degree)) return () => Number.NaN;
  const again = quickPolynomial(data, curve.form, degree);
  return (signal) => logFlow(again, signal);
}
