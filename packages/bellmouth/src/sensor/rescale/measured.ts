import { LuDecomposition, Matrix } from "ml-matrix";
import { curveEvaluator, makeCurve } from "../../curve/index.js";
import { at, BellmouthError, requireNumber } from "../../fault/index.js";
import { incompleteGamma, normalCdf, normalQuantile, studentTQuantile } from "../../fit/index.js";
import { installationDoubt } from "../ahead.js";
import type { Housing } from "../housing.js";
import {
  combinedUncertainty,
  type ErrorBudget,
  makeTransferCurve,
  type TransferCurve,
} from "../transfer-curve.js";
import { budgetParts, COMPONENT_CORRELATION, smoothCorrelation } from "./covariance.js";

/** One reading of the new meter beside a flow that something else measured. */
export interface MeasuredPair {
  /** of the new meter [Hz] or [V] */
  readonly signal: number;
  /** [kg/s] */
  readonly flow: number;
  /** relative standard uncertainty of this pair alone, its repeatability [1] */
  readonly u: number;
  /** number of the day it was measured on; one day where left out */
  readonly day?: number;
}

/** What told the flows. */
export type FlowReference =
  /** a flow bench or nozzle: one relative standard uncertainty that all pairs share [1], its inlet included */
  | { readonly kind: "standard"; readonly u: number }
  /**
   * another meter in series: the accuracy of its table [1], and whether the predicted curve came from that same table, whose error
   * then cancels in part; `ratio` is the predicted flow over the table's at one signal [1]
   */
  | { readonly kind: "table"; readonly u: number; readonly sameTable: boolean; readonly ratio: number };

export interface MeasuredTransfer {
  readonly pairs: readonly MeasuredPair[];
  readonly reference: FlowReference;
  /** Relative standard uncertainty from one day's calibration to another's [1]; needed when all pairs are of one day. */
  readonly betweenDays?: number;
  /**
   * The housings of the prediction, when the pairs were measured elsewhere than in the car: what stands ahead there is then not
   * seen by the pairs and stays in the budget. Left out for pairs measured in the car.
   */
  readonly elsewhere?: { readonly from: Housing; readonly to: Housing };
}

export interface JoinedTransfer {
  readonly curve: TransferCurve;
  /** Standard uncertainty from day to day that was used [1]. */
  readonly betweenDays: number;
  readonly days: number;
  /** Chance of pairs that lie this far from the prediction, if the uncertainties of both are right [1]. */
  readonly chance: number;
  /** By pair: how far it lies from the prediction, in standard uncertainties of the two. */
  readonly offBy: readonly number[];
}

/** A stated between-day uncertainty counts as this many days beside the measured ones (chosen). */
const STATED_DAYS = 4;

/**
 * Joins a predicted curve with measured pairs: least squares with the covariances of both, so that each counts by what it
 * knows. Errors that pairs share (the reference's, a day's) are never averaged away.
 *
 * A law's uncertainty, and a repeatability, are of one day: sensors calibrated again a day later have been found several percent
 * off. So the between-day part is asked for when there is one day, and estimated from two days on, with Student's factor.
 *
 * Each cell's parts keep their shares of its uncertainty; their sum is what is left.
 *
 * @param predicted in the new housing, flows [kg/s]
 * @throws `E_TOO_LITTLE_DATA` without a pair, or with one day and no `betweenDays`; `E_DOMAIN` on a pair outside the predicted signals, a
 *   flow that is not positive or a pair without an uncertainty; `E_ORDER` when the joined flows do not rise
 * @source C. R. Rao, Linear Statistical Inference (1973), 4a (generalised least squares); JCGM 100:2008.
 */
export function joinMeasured(predicted: TransferCurve, measured: MeasuredTransfer): JoinedTransfer {
  const { pairs, reference, elsewhere } = measured;
  checkPairs(predicted, measured);
  const seen = elsewhere === undefined ? predicted : withoutAhead(predicted, elsewhere, "seen");
  const lnCell = seen.cells.map(({ flow }) => Math.log(flow));
  const evaluate = curveEvaluator(
    makeCurve({
      x: { quantity: predicted.signal, values: predicted.cells.map(({ signal }) => signal) },
      y: { quantity: "mass flow", values: predicted.cells.map(({ flow }) => flow) },
      between: "monotone cubic",
      outside: "refuse",
    }),
  );
  const lnPair = pairs.map(({ signal }) => Math.log(evaluate(signal)));
  const difference = pairs.map(({ flow }, i) => Math.log(flow) - at(lnPair, i));
  const [n, m] = [lnCell.length, pairs.length];
  const places = [...lnCell, ...lnPair];
  const prior = wholeCovariance(seen, places);
  const shared = sharedWithTable(seen, places, lnPair, reference);
  // difference = error of the reading - error of the prediction, at the pairs.
  const noise = (i: number, j: number): number =>
    (i === j ? at(pairs, i).u ** 2 : 0) + referenceCovariance(reference, at(lnPair, i), at(lnPair, j));
  const apart = (betweenDays: number): Matrix =>
    square(m, (i, j) => {
      const day = at(pairs, i).day === at(pairs, j).day ? betweenDays ** 2 : 0;
      return prior.get(n + i, n + j) + noise(i, j) + day - shared.get(n + i, j) - shared.get(n + j, i);
    });
  const days = [...new Set(pairs.map(({ day }) => day))];
  const betweenDays = dayToDay(measured, days, apart(0), difference);
  const whole = new LuDecomposition(apart(betweenDays));
  const weighted = whole.solve(Matrix.columnVector(difference));
  // Covariance of a cell's prediction error with the differences.
  const towards = new Matrix(n, m);
  for (let i = 0; i < n; i++)
    for (let j = 0; j < m; j++) towards.set(i, j, shared.get(i, j) - prior.get(i, n + j));
  const solved = whole.solve(towards.transpose());
  const cells = seen.cells.map((cell, i) => {
    if (!(cell.flow > 0)) return at(predicted.cells, i);
    let shift = 0;
    let told = 0;
    for (let j = 0; j < m; j++) {
      shift += towards.get(i, j) * weighted.get(j, 0);
      told += towards.get(i, j) * solved.get(j, i);
    }
    const before = combinedUncertainty(cell.budget);
    const left = before === 0 ? 1 : Math.sqrt(Math.max(0, 1 - told / before ** 2));
    const budget = scaled(cell.budget, left);
    return { ...cell, flow: cell.flow * Math.exp(-shift), budget };
  });
  const spread = apart(betweenDays);
  const joined = rising({ ...predicted, cells });
  return {
    curve: elsewhere === undefined ? joined : withAhead(joined, predicted, elsewhere),
    betweenDays,
    days: days.length,
    chance: chanceOfMore(difference, weighted, whole.solve(Matrix.ones(m, 1))),
    offBy: difference.map((value, j) => value / Math.sqrt(spread.get(j, j))),
  };
}

/**
 * Chance [1] of differences like these: the smaller of that of all of them (chi squared) and that of their common part, which many
 * pairs would hide, times two because two were looked at.
 *
 * @param weighted inverse covariance times the differences; `ones` times a vector of ones
 */
function chanceOfMore(difference: readonly number[], weighted: Matrix, ones: Matrix): number {
  const misfit = difference.reduce((sum, value, j) => sum + value * weighted.get(j, 0), 0);
  const all = 1 - incompleteGamma(difference.length / 2, Math.max(0, misfit) / 2);
  const common = Math.abs(weighted.sum()) / Math.sqrt(ones.sum());
  return Math.min(1, 2 * Math.min(all, 2 * normalCdf(-common)));
}

const square = (size: number, value: (i: number, j: number) => number): Matrix => {
  const matrix = new Matrix(size, size);
  for (let i = 0; i < size; i++) for (let j = 0; j < size; j++) matrix.set(i, j, value(i, j));
  return matrix;
};

const scaled = (budget: ErrorBudget, by: number): ErrorBudget =>
  Object.fromEntries(Object.entries(budget).map(([name, part]) => [name, (part ?? 0) * by]));

function wholeCovariance(curve: TransferCurve, places: readonly number[]): Matrix {
  const { common, smooth, independent } = budgetParts(curve, { places });
  const size = places.length;
  return square(
    size,
    (i, j) => at(common, i * size + j) + at(smooth, i * size + j) + at(independent, i * size + j),
  );
}

const ELEMENT_LENGTH = COMPONENT_CORRELATION.element as number;

function referenceCovariance(reference: FlowReference, a: number, b: number): number {
  const { u } = reference;
  return u * u * (reference.kind === "standard" ? 1 : smoothCorrelation(a, b, ELEMENT_LENGTH));
}

/** Covariance of the prediction's error at every place with the reference's at the pairs: none, or that of the table both rest on. */
function sharedWithTable(
  curve: TransferCurve,
  places: readonly number[],
  lnPair: readonly number[],
  reference: FlowReference,
): Matrix {
  const matrix = new Matrix(places.length, lnPair.length);
  if (reference.kind === "standard" || !reference.sameTable) return matrix;
  const only = {
    ...curve,
    cells: curve.cells.map((cell) => ({ ...cell, budget: { element: cell.budget.element ?? 0 } })),
  };
  const own = wholeCovariance(only, places);
  const apart = Math.log(reference.ratio);
  places.forEach((place, i) => {
    // The prediction at a flow rests on the table's cell of the same signal, a ratio below; the reading on the cell of that flow.
    const u = Math.sqrt(own.get(i, i));
    lnPair.forEach((pair, j) => {
      matrix.set(i, j, u * reference.u * smoothCorrelation(place - apart, pair, ELEMENT_LENGTH));
    });
  });
  return matrix;
}

/** Standard uncertainty from day to day [1]: the stated, the measured with Student's factor, or both weighed by their days. */
function dayToDay(
  { pairs, betweenDays }: MeasuredTransfer,
  days: readonly (number | undefined)[],
  apart: Matrix,
  difference: readonly number[],
): number {
  const degrees = days.length - 1;
  if (degrees === 0) return betweenDays ?? 0;
  const design = new Matrix(pairs.length, days.length);
  for (const [i, { day }] of pairs.entries()) design.set(i, days.indexOf(day), 1);
  const inner = new LuDecomposition(apart);
  const normal = design.transpose().mmul(inner.solve(design));
  const right = design.transpose().mmul(inner.solve(Matrix.columnVector([...difference])));
  const offsets = new LuDecomposition(normal).solve(right).to1DArray();
  const mean = offsets.reduce((sum, value) => sum + value, 0) / offsets.length;
  const squares = offsets.reduce((sum, value) => sum + (value - mean) ** 2, 0);
  if (betweenDays !== undefined) {
    return Math.sqrt((STATED_DAYS * betweenDays ** 2 + squares) / (STATED_DAYS + degrees));
  }
  return Math.sqrt(squares / degrees) * (studentTQuantile(0.975, degrees) / normalQuantile(0.975));
}

/** Parts of `installation` at a cell: what the other place's pairs see (the old housing's, joints) and what only the car has. */
function aheadParts({ from, to }: { readonly from: Housing; readonly to: Housing }): {
  seen: number;
  car: number;
} {
  const [old, now] = [installationDoubt(from), installationDoubt(to)];
  return { seen: Math.hypot(old.ahead, old.step, now.step), car: now.ahead };
}

const withoutAhead = (
  curve: TransferCurve,
  elsewhere: { from: Housing; to: Housing },
  part: "seen",
): TransferCurve => ({
  ...curve,
  cells: curve.cells.map((cell) =>
    cell.budget.installation === undefined
      ? cell
      : { ...cell, budget: { ...cell.budget, installation: aheadParts(elsewhere)[part] } },
  ),
});

/** The car's own share of what is ahead, put back: no bench has seen it. */
const withAhead = (
  joined: TransferCurve,
  predicted: TransferCurve,
  elsewhere: { from: Housing; to: Housing },
): TransferCurve => ({
  ...joined,
  cells: joined.cells.map((cell, i) => {
    if (at(predicted.cells, i).budget.installation === undefined) return cell;
    const installation = Math.hypot(cell.budget.installation ?? 0, aheadParts(elsewhere).car);
    return { ...cell, budget: { ...cell.budget, installation } };
  }),
});

function checkPairs(predicted: TransferCurve, { pairs, reference, betweenDays }: MeasuredTransfer): void {
  const [first, last] = [at(predicted.cells, 0), at(predicted.cells, predicted.cells.length - 1)];
  const unit = predicted.signal === "frequency" ? "Hz" : "V";
  const one = new Set(pairs.map(({ day }) => day)).size < 2;
  if (pairs.length === 0 || (one && betweenDays === undefined)) {
    throw new BellmouthError({
      code: "E_TOO_LITTLE_DATA",
      message:
        pairs.length === 0
          ? "no pairs to join with"
          : "one day's pairs do not say what another day's would, and sensors drift from day to day",
      found: `${pairs.length} pairs of one day`,
      accepted: "pairs of two days or more, or a between-day uncertainty",
      at: { path: pairs.length === 0 ? "pairs" : "betweenDays" },
    });
  }
  requireNumber(reference.u, "reference.u", "1", { from: 0, to: 0.3 });
  if (reference.kind === "table") requireNumber(reference.ratio, "reference.ratio", "1", { over: 0 });
  if (betweenDays !== undefined) requireNumber(betweenDays, "betweenDays", "1", { from: 0, to: 0.3 });
  pairs.forEach(({ signal, flow, u }, i) => {
    requireNumber(signal, `pairs[${i}].signal`, unit, { from: first.signal, to: last.signal });
    requireNumber(flow, `pairs[${i}].flow`, "kg/s", { over: 0 });
    requireNumber(u, `pairs[${i}].u`, "1", { over: 0, to: 0.5 });
  });
}

function rising(curve: TransferCurve): TransferCurve {
  const i = curve.cells.findIndex((cell, k) => k > 0 && !(cell.flow > at(curve.cells, k - 1).flow));
  if (i < 0) return makeTransferCurve({ signal: curve.signal, outside: curve.outside, cells: curve.cells });
  const unit = curve.signal === "frequency" ? "Hz" : "V";
  throw new BellmouthError({
    code: "E_ORDER",
    message: "the measured pairs bend the curve so far that its flow no longer rises",
    found: `no rise from ${at(curve.cells, i - 1).signal} to ${at(curve.cells, i).signal} ${unit}`,
    accepted: "pairs without a misprint, or with larger uncertainties",
    at: { path: "pairs" },
  });
}
