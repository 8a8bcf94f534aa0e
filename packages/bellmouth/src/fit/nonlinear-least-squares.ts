import { Matrix, QrDecomposition } from "ml-matrix";
import { BellmouthError, isFault, requireNumber } from "../fault/index.js";
import {
  dampedStep,
  EPS,
  gradientCosine,
  heldAt,
  jacobianAt,
  lengthsOf,
  type NonlinearProblem,
  relativeStep,
  squares,
} from "./damped-step.js";
import { columnLengths, covarianceOf, dot, invertTriangle, type Rows } from "./triangle.js";

export interface NonlinearOptions {
  /** Most steps tried, accepted or not [1]; 500 when left out. */
  readonly maxIterations?: number;
  /** Relative step below which the search has settled [1]; 1e-10 when left out. */
  readonly tolerance?: number;
  readonly lower?: readonly number[];
  readonly upper?: readonly number[];
  /** "estimate" the spread from the residuals, or take residuals as already in standard uncertainties ("known"). */
  readonly spread?: "estimate" | "known";
}

/**
 * converged: the step is below the tolerance and the gradient is at rounding level · at-bound: likewise, with a
 * parameter held at a bound · max-iterations: neither, in the steps allowed · stalled: no step of any length
 * improves although the gradient does not vanish (a wrong Jacobian, or noise in the residuals) · singular: settled,
 * but the data do not determine every parameter.
 */
export type FitStatus = "converged" | "at-bound" | "max-iterations" | "stalled" | "singular";

export interface NonlinearFit {
  readonly status: FitStatus;
  readonly parameters: readonly number[];
  /** Covariance; zero rows for parameters held at a bound; null when singular or without degrees of freedom. */
  readonly covariance: Rows | null;
  /** recomputed from the returned parameters */
  readonly residuals: readonly number[];
  readonly sumOfSquares: number;
  readonly residualSd: number | null;
  readonly degreesOfFreedom: number;
  readonly n: number;
  /** indices of parameters held at a bound */
  readonly held: readonly number[];
  readonly iterations: number;
  /** largest |cosine| between the residual vector and a column of the Jacobian; 0 at an exact minimum [1] */
  readonly gradientCosine: number;
}

/**
 * Nonlinear least squares: Levenberg-Marquardt with scaled damping, each step by QR of the augmented Jacobian.
 *
 * The npm package ml-levenberg-marquardt was tried first: it solves normal equations, stops on a fixed count, and
 * reports no error when it fails (half of 48 starts on a King-law fit). This one says how it ended, takes bounds,
 * and returns the covariance.
 *
 * @param problem residuals as a function of the parameters
 * @param start   first guess, in the unit of each parameter; inside the bounds
 * @throws `E_SHAPE`, `E_DOMAIN` when a residual is not finite at the start, `E_TOO_LITTLE_DATA` with fewer
 *   residuals than parameters
 * @source J. J. More, "The Levenberg-Marquardt algorithm: implementation and theory", Lecture Notes in Mathematics
 *   630 (1978) 105 (scaling, QR step); H. B. Nielsen, IMM-REP-1999-05 (damping update)
 */
export function nonlinearLeastSquares(
  problem: NonlinearProblem,
  start: readonly number[],
  options: NonlinearOptions = {},
): NonlinearFit {
  const size = start.length;
  const lower = bound(options.lower, size, Number.NEGATIVE_INFINITY, "lower");
  const upper = bound(options.upper, size, Number.POSITIVE_INFINITY, "upper");
  const clip = (values: readonly number[]): number[] =>
    values.map((value, j) => Math.min(Math.max(value, lower[j] as number), upper[j] as number));
  const tolerance = options.tolerance ?? 1e-10;
  const limit = options.maxIterations ?? 500;

  start.forEach((value, j) => {
    requireNumber(value, `start[${j}]`, "1", { from: lower[j] as number, to: upper[j] as number });
  });
  let p = [...start];
  let r = problem.residuals(p);
  let sum = squares(r);
  if (!Number.isFinite(sum)) {
    throw new BellmouthError({
      code: "E_DOMAIN",
      message: "a residual is not a finite number at the start",
      found: String(sum),
      accepted: "a start where the model can be evaluated",
      at: { path: "start" },
    });
  }
  if (size < 1 || r.length < size) {
    throw new BellmouthError({
      code: "E_TOO_LITTLE_DATA",
      message: "fewer residuals than parameters",
      found: `${r.length} residuals for ${size} parameters`,
      accepted: "at least one residual per parameter",
      at: { path: "residuals" },
    });
  }

  const scale = new Array<number>(size).fill(0);
  let damping = 1e-3;
  let grow = 2;
  let status: FitStatus = "max-iterations";
  let iterations = 0;
  let j = jacobianAt(problem, p, r, scale, lower, upper);
  for (; iterations < limit; iterations++) {
    const lengths = lengthsOf(j, size);
    for (let k = 0; k < size; k++) scale[k] = Math.max(scale[k] as number, lengths[k] as number);
    const held = heldAt(p, r, j, lower, upper);
    const free = p.map((_, k) => k).filter((k) => !held.includes(k) && (scale[k] as number) > 0);
    if (free.length === 0) {
      status = "converged";
      break;
    }
    const step = dampedStep(j, r, free, scale, damping);
    const trial = clip(p.map((value, k) => value + (step[k] as number)));
    const moved = trial.map((value, k) => value - (p[k] as number));
    const trialResiduals = problem.residuals(trial);
    const trialSum = squares(trialResiduals);
    const predicted = sum - squares(r.map((value, i) => value + dot(j[i] as readonly number[], moved)));
    // Near the minimum the sum is flat to rounding: when not even the undamped model promises a change that could be
    // seen, there is nothing left to find, and a step may be taken when it does not raise the sum visibly.
    const settled =
      relativeStep(moved, trial, scale, Math.sqrt(sum)) <= tolerance || Math.abs(predicted) <= 4 * EPS * sum;
    const better = trialSum < sum;
    const flat = settled && trialSum <= sum * (1 + 4 * EPS * r.length);
    if (Number.isFinite(trialSum) && (better || flat)) {
      const gain = predicted > 0 ? (sum - trialSum) / predicted : 1;
      p = trial;
      r = trialResiduals;
      sum = trialSum;
      j = jacobianAt(problem, p, r, scale, lower, upper);
      damping = Math.max(damping * Math.max(1 / 3, 1 - (2 * gain - 1) ** 3), 1e-20);
      grow = 2;
      if (settled && damping < 1) {
        status = "converged";
        break;
      }
    } else {
      if (settled && damping < 1) {
        status = "converged";
        break;
      }
      damping *= grow;
      grow *= 2;
      if (!(damping < 1e40)) {
        status = "stalled";
        break;
      }
    }
  }
  return describe(problem, p, status, iterations, scale, lower, upper, options.spread ?? "estimate");
}

function describe(
  problem: NonlinearProblem,
  parameters: readonly number[],
  status: FitStatus,
  iterations: number,
  scale: readonly number[],
  lower: readonly number[],
  upper: readonly number[],
  spread: "estimate" | "known",
): NonlinearFit {
  const size = parameters.length;
  const residuals = problem.residuals(parameters);
  const j = jacobianAt(problem, parameters, residuals, scale, lower, upper);
  const sumOfSquares = squares(residuals);
  const held = heldAt(parameters, residuals, j, lower, upper);
  const free = parameters.map((_, k) => k).filter((k) => !held.includes(k));
  const degreesOfFreedom = residuals.length - free.length;
  const residualSd = degreesOfFreedom > 0 ? Math.sqrt(sumOfSquares / degreesOfFreedom) : null;
  const variance = spread === "known" ? 1 : residualSd === null ? null : residualSd ** 2;
  let covariance: number[][] | null = null;
  let singular = false;
  if (free.length > 0) {
    try {
      const part = j.map((row) => free.map((k) => row[k] as number));
      const scales = columnLengths(part, free.length);
      const qr = new QrDecomposition(
        new Matrix(part.map((row) => row.map((v, k) => v / (scales[k] as number)))),
      );
      const inverse = invertTriangle(qr.upperTriangularMatrix.to2DArray());
      if (variance !== null) {
        const inner = covarianceOf(inverse, scales, variance);
        covariance = Array.from({ length: size }, () => new Array<number>(size).fill(0));
        free.forEach((a, i) => {
          free.forEach((b, k) => {
            ((covariance as number[][])[a] as number[])[b] = (inner[i] as number[])[k] as number;
          });
        });
      }
    } catch (error) {
      if (!isFault(error, "E_SINGULAR")) throw error;
      singular = true;
    }
  }
  const ended = status === "converged" && held.length > 0 ? "at-bound" : status;
  return {
    status: singular && (ended === "converged" || ended === "at-bound") ? "singular" : ended,
    parameters,
    covariance,
    residuals,
    sumOfSquares,
    residualSd,
    degreesOfFreedom,
    n: residuals.length,
    held,
    iterations,
    gradientCosine: gradientCosine(j, residuals, free),
  };
}

function bound(
  given: readonly number[] | undefined,
  size: number,
  none: number,
  path: string,
): readonly number[] {
  if (given === undefined) return new Array<number>(size).fill(none);
  if (given.length === size && !given.some(Number.isNaN)) return given;
  throw new BellmouthError({
    code: "E_SHAPE",
    message: "bounds need one number per parameter (an infinity where there is none)",
    found: `${given.length} for ${size} parameters`,
    accepted: `${size} numbers`,
    at: { path },
  });
}
