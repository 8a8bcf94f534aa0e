import { BellmouthError } from "../../fault/index.js";
import { studentTQuantile } from "../../fit/index.js";
import { type LawData, lawData } from "./check-points.js";
import { type FitLawOptions, isPolynomial, shiftedSearch, weightedFit } from "./fit-forms.js";
import { type LawCurve, type LawForm, logFlow, logFlowGradient, parameterNames } from "./law-curve.js";
import type { FittedCurve } from "./polynomial-law.js";
import { risingRange } from "./rising-range.js";
import { GROWTH_FLOOR, type LawPoint, type LawResidual, type TransferLaw } from "./transfer-law.js";

/** Most points for which leaving one out means fitting anew; above, the leverage gives it to first order. */
const REFIT_LIMIT = 40;
/** Degrees of freedom of the heavy-tailed loss: the usual compromise between robustness and efficiency. */
const TAIL = 4;

/**
 * Fits one form of transfer law to points, in ln(flow), so that a percent counts alike at idle and at full flow.
 *
 * @param points at least one more than the law has parameters; signals [Hz] or [V], flows [kg/s]
 * @throws `E_TOO_LITTLE_DATA`, `E_DOMAIN` (NaN, zero or negative), `E_SHAPE`, `E_SINGULAR` (flow does not rise with the
 *   signal, or fewer than three signals)
 * @source K. L. Lange, R. J. A. Little, J. M. G. Taylor, "Robust statistical modeling using the t distribution", J. Am.
 *   Stat. Assoc. 84 (1989) 881 (weights and covariance of the heavy-tailed loss)
 */
export function fitTransferLaw(points: readonly LawPoint[], options: FitLawOptions): TransferLaw {
  const data = lawData(points, parameterCount(options.form, options.degree) + 1);
  const core = options.loss === "student-t" ? robustCore(data, options) : plainCore(data, options);
  return describe(data, core, options);
}

const parameterCount = (form: LawForm, degree = 1): number =>
  form === "shifted power" || form === "king" ? 3 : degree + 1;

interface Core extends FittedCurve {
  /** robust weights, 1 in a plain fit */
  readonly robust: readonly number[];
}

const ones = (data: LawData): number[] => data.signal.map(() => 1);

function plainCore(data: LawData, options: FitLawOptions): Core {
  return { ...weightedFit(data, options, data.weight), robust: ones(data) };
}

function robustCore(data: LawData, options: FitLawOptions): Core {
  let robust = ones(data);
  let fit = weightedFit(data, options, data.weight);
  const size = fit.covariance.length;
  // The degree is chosen once: a choice that changed with the weights might never settle.
  const settled = isPolynomial(fit.curve) ? { ...options, degree: size - 1 } : options;
  const standardised = (): number[] =>
    data.y.map(
      (y, i) => (y - logFlow(fit.curve, data.signal[i] as number)) * Math.sqrt(data.weight[i] as number),
    );
  // The first scale is the median absolute deviation: one gross point cannot widen it as it widens the rms.
  let variance = (1.4826 * median(standardised().map(Math.abs))) ** 2;
  for (let pass = 0; pass < 200 && variance > 0; pass++) {
    const next = standardised().map((e) => (TAIL + 1) / (TAIL + (e * e) / variance));
    const change = next.reduce(
      (most, value, i) => Math.max(most, Math.abs(value - (robust[i] as number))),
      0,
    );
    robust = next;
    fit = weightedFit(
      data,
      settled,
      data.weight.map((value, i) => value * (robust[i] as number)),
    );
    variance =
      options.spread === "known"
        ? 1
        : standardised().reduce((sum, e, i) => sum + (robust[i] as number) * e * e, 0) /
          (data.y.length - size);
    if (change < 1e-9) break;
  }
  const inflate = (TAIL + 3) / (TAIL + 1);
  return { ...fit, covariance: fit.covariance.map((row) => row.map((value) => value * inflate)), robust };
}

function describe(data: LawData, core: Core, options: FitLawOptions): TransferLaw {
  const { curve, covariance, robust } = core;
  const { signal, y } = data;
  const n = y.length;
  const size = covariance.length;
  const log = y.map((value, i) => value - logFlow(curve, signal[i] as number));
  const weight = data.weight.map((value, i) => value * (robust[i] as number));
  const weighted = log.reduce((sum, e, i) => sum + (weight[i] as number) * e * e, 0);
  const degreesOfFreedom = n - size;
  const variance = options.spread === "known" ? 1 : weighted / degreesOfFreedom;
  const inflate = options.loss === "student-t" ? (TAIL + 3) / (TAIL + 1) : 1;
  const leverage = signal.map((s, i) => {
    const gradient = logFlowGradient(curve, s);
    let quadratic = 0;
    gradient.forEach((a, j) => {
      gradient.forEach((b, k) => {
        quadratic += a * b * (covariance[j]?.[k] as number);
      });
    });
    // An exact fit has no variance to divide by; every point then leaves itself unchanged.
    return variance > 0 ? Math.min(((weight[i] as number) * quadratic) / (variance * inflate), 1 - 1e-9) : 0;
  });
  const leftOut = leaveOneOut(data, curve, weight, log, leverage);
  const scores = log.map((e, i) => {
    const w = weight[i] as number;
    const h = leverage[i] as number;
    // Judged without itself: a gross point may not hide in the scatter it makes.
    const rest = (weighted - (w * e * e) / (1 - h)) / (degreesOfFreedom - 1);
    const own = options.loss === "student-t" || !(degreesOfFreedom > 1) ? variance : rest;
    return own > 0 ? (Math.abs(e) * Math.sqrt(data.weight[i] as number)) / Math.sqrt(own * (1 - h)) : 0;
  });
  const limit = outlierScore(scores, degreesOfFreedom);
  const residuals = log.map(
    (e, i): LawResidual => ({
      signal: signal[i] as number,
      flow: Math.exp(y[i] as number),
      log: e,
      percent: 100 * Math.expm1(e),
      weight: robust[i] as number,
      leftOut: leftOut[i] as number,
      score: scores[i] as number,
      outlier: (scores[i] as number) > limit,
    }),
  );
  const from = signal[0] as number;
  const to = signal[n - 1] as number;
  const rising = risingRange(curve, from, to);
  if (rising === null) {
    throw new BellmouthError({
      code: "E_SINGULAR",
      message: `the ${curve.form} law through these points does not rise over their whole range`,
      found: `degree ${size - 1}`,
      accepted: "a lower degree, another form, or better points",
      at: { path: "points" },
    });
  }
  const tail = options.loss === "student-t" ? Math.sqrt(TAIL / (TAIL - 2)) : 1;
  return {
    kind: "transfer law",
    curve,
    status: core.status,
    names: parameterNames(curve),
    covariance,
    range: { from, to },
    flows: { from: Math.exp(logFlow(curve, from)), to: Math.exp(logFlow(curve, to)) },
    rising,
    residuals,
    rms: rootMeanSquare(log),
    leaveOneOutRms: Math.sqrt(
      leftOut.reduce((sum, e, i) => sum + (robust[i] as number) * e * e, 0) /
        robust.reduce((a, b) => a + b, 0),
    ),
    // With known uncertainties the scatter is that of a point of average weight.
    scatter: tail * Math.sqrt((weighted / degreesOfFreedom) * (n / weight.reduce((a, b) => a + b, 0))),
    n,
    degreesOfFreedom,
    rivals: [],
    growth: GROWTH_FLOOR,
  };
}

/** Score that chance gives once in a hundred tables of this length. */
function outlierScore(scores: readonly number[], degreesOfFreedom: number): number {
  if (!(degreesOfFreedom > 1)) return Number.POSITIVE_INFINITY;
  // No Student-t quantile at this probability lies below the normal one, 2.57: mostly it need not be worked out.
  if (!scores.some((score) => score > 2.57)) return Number.POSITIVE_INFINITY;
  return studentTQuantile(1 - 0.005 / scores.length, degreesOfFreedom - 1);
}

function leaveOneOut(
  data: LawData,
  curve: LawCurve,
  weight: readonly number[],
  log: readonly number[],
  leverage: readonly number[],
): number[] {
  // For a linear fit the leverage gives the left-out residual exactly.
  if (isPolynomial(curve) || data.y.length > REFIT_LIMIT) {
    return log.map((e, i) => e / (1 - (leverage[i] as number)));
  }
  const without = <T>(values: readonly T[], i: number): T[] => values.filter((_, k) => k !== i);
  return data.y.map((value, i) => {
    const rest = { signal: without(data.signal, i), y: without(data.y, i), weight: without(weight, i) };
    return value - shiftedSearch(rest, curve, data.signal[0] as number)(data.signal[i] as number);
  });
}

const rootMeanSquare = (values: readonly number[]): number =>
  Math.sqrt(values.reduce((sum, value) => sum + value * value, 0) / values.length);

function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const middle = sorted.length / 2;
  return sorted.length % 2 === 1
    ? (sorted[Math.floor(middle)] as number)
    : ((sorted[middle - 1] as number) + (sorted[middle] as number)) / 2;
}
