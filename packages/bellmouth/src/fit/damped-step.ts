import { Matrix, QrDecomposition } from "ml-matrix";
import { dot, type Rows } from "./triangle.js";

/** A sum of squares to be made least. */
export interface NonlinearProblem {
  /** Residuals (already divided by their standard uncertainties where those are known); same length at each call. */
  readonly residuals: (parameters: readonly number[]) => readonly number[];
  /** Row i holds the derivatives of residual i by each parameter. Central differences are used when it is left out. */
  readonly jacobian?: (parameters: readonly number[]) => Rows;
}

/** Relative rounding of a double. */
export const EPS = 2 ** -52;

export const squares = (values: readonly number[]): number => {
  let sum = 0;
  for (const value of values) sum += value * value;
  return sum;
};

export const lengthsOf = (j: Rows, size: number): number[] =>
  Array.from({ length: size }, (_, k) => Math.sqrt(squares(j.map((row) => row[k] as number))));

export function gradientCosine(j: Rows, r: readonly number[], free: readonly number[]): number {
  const length = Math.sqrt(squares(r));
  if (length === 0) return 0;
  let worst = 0;
  for (const k of free) {
    const column = j.map((row) => row[k] as number);
    const columnLength = Math.sqrt(squares(column));
    if (columnLength > 0) worst = Math.max(worst, Math.abs(dot(column, r)) / columnLength / length);
  }
  return worst;
}

/**
 * Largest step against its parameter. A parameter near zero has no relative step of its own: its effect is then
 * measured against that of all parameters and against the residuals.
 */
export function relativeStep(
  step: readonly number[],
  at: readonly number[],
  scale: readonly number[],
  residualLength: number,
): number {
  const whole = Math.sqrt(squares(at.map((value, k) => value * (scale[k] as number))));
  let worst = 0;
  step.forEach((value, k) => {
    const d = scale[k] as number;
    const effect = Math.abs(value) * d;
    if (effect > 0)
      worst = Math.max(worst, effect / (Math.abs(at[k] as number) * d + 1e-6 * whole + residualLength));
  });
  return worst;
}

/** Parameters at a bound that the gradient pushes outwards. */
export function heldAt(
  p: readonly number[],
  r: readonly number[],
  j: Rows,
  lower: readonly number[],
  upper: readonly number[],
): number[] {
  const held: number[] = [];
  p.forEach((value, k) => {
    if (value > (lower[k] as number) && value < (upper[k] as number)) return;
    const slope = dot(
      j.map((row) => row[k] as number),
      r,
    );
    if ((value <= (lower[k] as number) && slope >= 0) || (value >= (upper[k] as number) && slope <= 0))
      held.push(k);
  });
  return held;
}

/** Solves min |J d + r|^2 + damping |D d|^2 over the free parameters; zeros elsewhere. */
export function dampedStep(
  j: Rows,
  r: readonly number[],
  free: readonly number[],
  scale: readonly number[],
  damping: number,
): number[] {
  const root = Math.sqrt(damping);
  const rows = j.map((row) => free.map((k) => (row[k] as number) / (scale[k] as number)));
  const extra = free.map((_, i) => free.map((_, k) => (i === k ? root : 0)));
  const right = [...r.map((value) => -value), ...free.map(() => 0)];
  const solution = new QrDecomposition(new Matrix([...rows, ...extra]))
    .solve(Matrix.columnVector(right))
    .to1DArray();
  const step = new Array<number>(scale.length).fill(0);
  free.forEach((k, i) => {
    step[k] = (solution[i] as number) / (scale[k] as number);
  });
  return step;
}

/** @param scale lengths of the columns last seen; zeros when there was no Jacobian yet */
export function jacobianAt(
  problem: NonlinearProblem,
  p: readonly number[],
  r: readonly number[],
  scale: readonly number[],
  lower: readonly number[],
  upper: readonly number[],
): Rows {
  if (problem.jacobian !== undefined) return problem.jacobian(p);
  const rows = r.map(() => new Array<number>(p.length).fill(0));
  const length = Math.sqrt(squares(r));
  for (let k = 0; k < p.length; k++) {
    const value = p[k] as number;
    // Near zero a step relative to the parameter would drown in rounding; one relative to what moves the residuals
    // by their own size does not.
    const d = scale[k] as number;
    const size = Math.max(Math.abs(value), d > 0 ? length / d : 0);
    const h = Math.cbrt(EPS) * (size > 0 ? size : 1e-3);
    const high = Math.min(value + h, upper[k] as number);
    const low = Math.max(value - h, lower[k] as number);
    const at = (x: number): readonly number[] =>
      problem.residuals(p.map((other, i) => (i === k ? x : other)));
    const above = at(high);
    const below = at(low);
    for (let i = 0; i < r.length; i++)
      (rows[i] as number[])[k] = ((above[i] as number) - (below[i] as number)) / (high - low);
  }
  return rows;
}
