import { BellmouthError } from "../fault/index.js";

/** Rows of numbers, all of equal length. */
export type Rows = readonly (readonly number[])[];

/** Ratio of diagonal elements below which a scaled triangle counts as singular. */
const SINGULAR = 1e-14;

/** Sum of products; any unit. */
export const dot = (a: readonly number[], b: readonly number[]): number => {
  let sum = 0;
  for (let j = 0; j < a.length; j++) sum += (a[j] as number) * (b[j] as number);
  return sum;
};

/** Length of each column [1]. @throws `E_SINGULAR` on a column of zeros, which says nothing of its parameter */
export function columnLengths(rows: Rows, columns: number): number[] {
  return Array.from({ length: columns }, (_, j) => {
    // Divided by the largest first, so that squares neither overflow nor vanish.
    const top = rows.reduce((most, row) => Math.max(most, Math.abs(row[j] as number)), 0);
    const length =
      top * Math.sqrt(rows.reduce((sum, row) => sum + ((row[j] as number) / (top || 1)) ** 2, 0));
    if (!(length > 0)) {
      throw new BellmouthError({
        code: "E_SINGULAR",
        message: "the observations say nothing of a parameter",
        found: `column ${j} holds zeros only`,
        accepted: "observations that depend on every parameter",
        at: { path: `design[*][${j}]` },
      });
    }
    return length;
  });
}

/**
 * Inverse of an upper triangle whose columns had unit length before the decomposition [1].
 *
 * @throws `E_SINGULAR` when a column follows from those before it
 */
export function invertTriangle(triangle: Rows): number[][] {
  const n = triangle.length;
  const diagonal = triangle.map((row, i) => Math.abs(row[i] as number));
  const worst = diagonal.indexOf(Math.min(...diagonal));
  if (!((diagonal[worst] as number) > SINGULAR * Math.max(...diagonal))) {
    throw new BellmouthError({
      code: "E_SINGULAR",
      message: "the observations cannot tell the parameters apart",
      found: `parameter ${worst} follows from those before it`,
      accepted: "more varied observations, or fewer parameters",
      at: { path: `parameters[${worst}]` },
    });
  }
  const inverse = Array.from({ length: n }, () => new Array<number>(n).fill(0));
  for (let j = 0; j < n; j++) {
    for (let i = j; i >= 0; i--) {
      let sum = i === j ? 1 : 0;
      for (let k = i + 1; k <= j; k++)
        sum -= ((triangle[i] as readonly number[])[k] as number) * ((inverse[k] as number[])[j] as number);
      (inverse[i] as number[])[j] = sum / ((triangle[i] as readonly number[])[i] as number);
    }
  }
  return inverse;
}

/** variance * (R'R)^-1, with the column scaling taken back; any unit. */
export function covarianceOf(inverse: Rows, scales: readonly number[], variance: number): number[][] {
  return inverse.map((rowI, i) =>
    inverse.map((rowJ, j) => (variance * dot(rowI, rowJ)) / ((scales[i] as number) * (scales[j] as number))),
  );
}
