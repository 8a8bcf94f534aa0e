import { BellmouthError } from "../../fault/index.js";
import {
  chebyshevRow,
  type FitStatus,
  linearLeastSquares,
  type Rows,
  studentTQuantile,
} from "../../fit/index.js";
import { type LawData, lawData } from "./check-points.js";
import { type LawCurve, type LawForm, logFlow, logFlowGradient, parameterNames } from "./law-curve.js";
import { risingRange } from "./rising-range.js";
import { GROWTH_FLOOR, type LawPoint, type LawResidual, type TransferLaw } from "./transfer-law.js";
import { fitShiftedLog, searchShiftedLog } from "./variable-projection.js";

export interface FitLawOptions {
  readonly form: LawForm;
  /** Degree of a polynomial form [1]; chosen from 1 to 5 by leave-one-out error when left out. */
  readonly degree?: number;
  /**
   * "squares" trusts every point alike; "student-t" (four degrees of freedom) lets points far from the rest count
   * less, and reports their weights.
   */
  readonly loss?: "squares" | "student-t";
  /** Whether the points' uncertainties are only relative to one another ("estimate") or absolute ("known"). */
  readonly spread?: "estimate" | "known";
}

/** Most points for which leaving one out means fitting anew; above, the leverage gives it to first order. */
const REFIT_LIMIT = 40;
const HIGHEST_DEGREE = 5;
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

interface Core {
  readonly curve: LawCurve;
  readonly status: FitStatus;
  readonly covariance: Rows;
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
      options,
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

function weightedFit(all: LawData, options: FitLawOptions, weights: readonly number[]): Omit<Core, "robust"> {
  const spread = options.spread ?? "estimate";
  const data = condensed(all, weights);
  const { weight } = data;
  if (options.form === "shifted power" || options.form === "king") {
    return shiftedFit(data, options.form, weight, spread);
  }
  const { form } = options;
  const degree = options.degree ?? bestDegree(data, form, weight);
  return polynomialFit(data, form, degree, weight, spread);
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

function shiftedFit(
  { signal, y }: LawData,
  form: "shifted power" | "king",
  weight: readonly number[],
  spread: "estimate" | "known",
): Omit<Core, "robust"> {
  const g = form === "king" ? signal.map((s) => s * s) : signal;
  const fit = fitShiftedLog({ g, y, weight, least: g[0] as number }, spread);
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

type PolynomialForm = "log polynomial" | "log-log polynomial";

const polynomialVariable = (form: PolynomialForm, signal: number): number =>
  form === "log polynomial" ? signal : Math.log(signal);

function polynomialDesign({ signal }: LawData, form: PolynomialForm, degree: number) {
  const x = signal.map((s) => polynomialVariable(form, s));
  const from = x[0] as number;
  const to = x[x.length - 1] as number;
  return { from, to, rows: x.map((value) => chebyshevRow(value, from, to, degree)) };
}

function polynomialFit(
  data: LawData,
  form: PolynomialForm,
  degree: number,
  weight: readonly number[],
  spread: "estimate" | "known",
): Omit<Core, "robust"> {
  const { from, to, rows } = polynomialDesign(data, form, degree);
  const fit = linearLeastSquares(rows, data.y, { weights: weight, spread });
  // One point more than parameters was asked for, so there are degrees of freedom and the covariance exists.
  return {
    curve: { form, series: { from, to, coefficients: fit.parameters } },
    status: "converged",
    covariance: fit.covariance as Rows,
  };
}

function bestDegree(data: LawData, form: PolynomialForm, weight: readonly number[]): number {
  const different = new Set(data.signal).size;
  const highest = Math.min(HIGHEST_DEGREE, data.y.length - 2, different - 1);
  const [first, last] = [data.signal[0] as number, data.signal[data.signal.length - 1] as number];
  let best = { degree: 1, error: Number.POSITIVE_INFINITY };
  for (let degree = 1; degree <= highest; degree++) {
    const { from, to, rows } = polynomialDesign(data, form, degree);
    const fit = linearLeastSquares(rows, data.y, { weights: weight });
    const error = fit.residuals.reduce(
      (sum, e, i) => sum + (weight[i] as number) * (e / (1 - (fit.leverage[i] as number))) ** 2,
      0,
    );
    // A higher degree must earn itself (an error equal to rounding does not choose), and must rise.
    if (!(error < best.error * (1 - 1e-9))) continue;
    const curve: LawCurve = { form, series: { from, to, coefficients: fit.parameters } };
    if (risingRange(curve, first, last) !== null) best = { degree, error };
  }
  return best.degree;
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
  const limit =
    degreesOfFreedom > 1 ? studentTQuantile(1 - 0.005 / n, degreesOfFreedom - 1) : Number.POSITIVE_INFINITY;
  const residuals = log.map((e, i): LawResidual => {
    const w = weight[i] as number;
    const h = leverage[i] as number;
    // Judged without itself: a gross point may not hide in the scatter it makes.
    const rest = (weighted - (w * e * e) / (1 - h)) / (degreesOfFreedom - 1);
    const own = options.loss === "student-t" || !(degreesOfFreedom > 1) ? variance : rest;
    const score =
      own > 0 ? (Math.abs(e) * Math.sqrt(data.weight[i] as number)) / Math.sqrt(own * (1 - h)) : 0;
    return {
      signal: signal[i] as number,
      flow: Math.exp(y[i] as number),
      log: e,
      percent: 100 * Math.expm1(e),
      weight: robust[i] as number,
      leftOut: leftOut[i] as number,
      score,
      outlier: score > limit,
    };
  });
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
    return value - shiftedSearch(rest, curve.form, data.signal[0] as number)(data.signal[i] as number);
  });
}

type Polynomial = Extract<LawCurve, { readonly series: unknown }>;
const isPolynomial = (curve: LawCurve): curve is Polynomial =>
  curve.form === "log polynomial" || curve.form === "log-log polynomial";

/** ln(flow) over signal by the search alone; the law must reach down to the signal `least`. */
function shiftedSearch(
  { signal, y, weight }: LawData,
  form: "shifted power" | "king",
  least: number,
): (signal: number) => number {
  const turn = (s: number): number => (form === "king" ? s * s : s);
  const law = searchShiftedLog({ g: signal.map(turn), y, weight, least: turn(least) });
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
  if (!isPolynomial(curve)) return shiftedSearch(data, curve.form, data.signal[0] as number);
  const degree = curve.series.coefficients.length - 1;
  if (!(data.y.length > degree)) return () => Number.NaN;
  const again = polynomialFit(data, curve.form, degree, data.weight, "known").curve;
  return (signal) => logFlow(again, signal);
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
