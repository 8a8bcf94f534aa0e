import { BellmouthError } from "../../fault/index.js";
import { type FitStatus, nonlinearLeastSquares, type Rows } from "../../fit/index.js";

/**
 * Fit of y = level + slope ln(g - g0), the common shape of the shifted power (g the signal) and of King's law (g the
 * signal squared). For a given g0 the rest is a straight line, so only g0 is searched: over a wide grid, then closer
 * around every local minimum, so that no start has to be guessed and none can be missed between starts. Gauss-Newton
 * with damping then settles all three together.
 *
 * @source G. H. Golub, V. Pereyra, "The differentiation of pseudo-inverses and nonlinear least squares problems whose
 *   variables separate", SIAM J. Numer. Anal. 10 (1973) 413
 */
export interface ShiftedLogFit {
  readonly status: FitStatus;
  readonly g0: number;
  /** y = slope (ln(g - g0) - reference) + level */
  readonly slope: number;
  readonly level: number;
  readonly reference: number;
  /** covariance of level, slope and g0 */
  readonly covariance: Rows;
}

interface Columns {
  readonly g: readonly number[];
  readonly y: readonly number[];
  readonly weight: readonly number[];
  /** the least g that the law must reach; g0 stays below it */
  readonly least: number;
}

interface Line {
  readonly level: number;
  readonly slope: number;
  readonly reference: number;
  readonly sum: number;
}

/** Best line for g0 = least - exp(t), and what it leaves. */
function lineAt({ g, y, weight, least }: Columns, t: number): Line {
  const gap = Math.exp(t);
  const n = g.length;
  let w = 0;
  let mx = 0;
  let my = 0;
  const x = new Array<number>(n);
  for (let i = 0; i < n; i++) {
    const wi = weight[i] as number;
    const xi = Math.log((g[i] as number) - least + gap);
    x[i] = xi;
    w += wi;
    mx += wi * xi;
    my += wi * (y[i] as number);
  }
  mx /= w;
  my /= w;
  let xx = 0;
  let xy = 0;
  for (let i = 0; i < n; i++) {
    const d = (x[i] as number) - mx;
    xx += (weight[i] as number) * d * d;
    xy += (weight[i] as number) * d * ((y[i] as number) - my);
  }
  const slope = xy / xx;
  let sum = 0;
  for (let i = 0; i < n; i++) {
    const e = (y[i] as number) - my - slope * ((x[i] as number) - mx);
    sum += (weight[i] as number) * e * e;
  }
  return { level: my, slope, reference: mx, sum };
}

const GOLDEN = (Math.sqrt(5) - 1) / 2;

function goldenMinimum(f: (t: number) => number, from: number, to: number): number {
  let a = from;
  let b = to;
  let c = b - GOLDEN * (b - a);
  let d = a + GOLDEN * (b - a);
  let fc = f(c);
  let fd = f(d);
  while (b - a > 1e-6) {
    if (fc < fd) {
      b = d;
      d = c;
      fd = fc;
      c = b - GOLDEN * (b - a);
      fc = f(c);
    } else {
      a = c;
      c = d;
      fc = fd;
      d = a + GOLDEN * (b - a);
      fd = f(d);
    }
  }
  return 0.5 * (a + b);
}

/** From a millionth of the range of g below its least value to a thousand ranges below. */
const GAPS = { from: Math.log(1e-6), to: Math.log(1e3), steps: 60 } as const;

/** Every local minimum of the sum of squares over t = ln(least - g0), best first. */
function localMinima(columns: Columns, span: number): number[] {
  const at = (k: number): number => Math.log(span) + GAPS.from + ((GAPS.to - GAPS.from) * k) / GAPS.steps;
  const sums = Array.from({ length: GAPS.steps + 1 }, (_, k) => lineAt(columns, at(k)).sum);
  const found: { t: number; sum: number }[] = [];
  for (let k = 0; k <= GAPS.steps; k++) {
    const here = sums[k] as number;
    if (
      !(
        here <= (sums[k - 1] ?? Number.POSITIVE_INFINITY) && here <= (sums[k + 1] ?? Number.POSITIVE_INFINITY)
      )
    )
      continue;
    const t = goldenMinimum(
      (value) => lineAt(columns, value).sum,
      at(Math.max(0, k - 1)),
      at(Math.min(GAPS.steps, k + 1)),
    );
    found.push({ t, sum: lineAt(columns, t).sum });
  }
  return found.sort((a, b) => a.sum - b.sum).map((minimum) => minimum.t);
}

/**
 * The search alone, without polish or covariance, from the optimum of nearly the same points: downhill in steps of the
 * grid until the sum rises again, then closer. Enough for leaving points out.
 *
 * @param near g0 of the fit to all points
 */
export function searchShiftedLog(columns: Columns, near: number): (g: number) => number {
  const span = spanOf(columns);
  const step = (GAPS.to - GAPS.from) / GAPS.steps;
  const lower = Math.log(span) + GAPS.from;
  const upper = Math.log(span) + GAPS.to;
  const sum = (value: number): number => lineAt(columns, value).sum;
  // Where fewer points reach less far down, the old g0 may lie among them: then from the grid's near end.
  const gap = columns.least - near;
  let middle = Math.min(Math.max(gap > 0 ? Math.log(gap) : lower, lower), upper);
  let here = sum(middle);
  const way = sum(Math.min(middle + step, upper)) < here ? 1 : -1;
  for (;;) {
    const next = Math.min(Math.max(middle + way * step, lower), upper);
    const there = sum(next);
    if (!(there < here)) break;
    middle = next;
    here = there;
  }
  const t = goldenMinimum(sum, Math.max(lower, middle - step), Math.min(upper, middle + step));
  const line = lineAt(columns, t);
  return (g) => line.level + line.slope * (Math.log(g - columns.least + Math.exp(t)) - line.reference);
}

const spanOf = ({ g, least }: Columns): number =>
  (g[g.length - 1] as number) - Math.min(least, g[0] as number);

/**
 * @param columns g rising, y, weights, and the least g that the law must reach
 * @param spread  whether weights are absolute
 * @throws `E_SINGULAR` when y does not rise with g
 */
export function fitShiftedLog(columns: Columns, spread: "estimate" | "known"): ShiftedLogFit {
  const { g, y, weight, least } = columns;
  const span = spanOf(columns);
  const roots = weight.map(Math.sqrt);
  const lower = Math.log(span) + GAPS.from;
  const upper = Math.log(span) + GAPS.to;
  const fits = localMinima(columns, span).map((t) => {
    const { level, slope, reference } = lineAt(columns, t);
    const x = (i: number, gap: number): number => Math.log((g[i] as number) - least + gap) - reference;
    const fit = nonlinearLeastSquares(
      {
        residuals: ([a, p, s]) =>
          y.map(
            (value, i) =>
              (roots[i] as number) * ((a as number) + (p as number) * x(i, Math.exp(s as number)) - value),
          ),
        jacobian: ([, p, s]) => {
          const gap = Math.exp(s as number);
          return g.map((value, i) =>
            [1, x(i, gap), ((p as number) * gap) / (value - least + gap)].map(
              (d) => d * (roots[i] as number),
            ),
          );
        },
      },
      [level, slope, Math.min(Math.max(t, lower), upper)],
      {
        lower: [Number.NEGATIVE_INFINITY, Number.NEGATIVE_INFINITY, lower],
        upper: [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY, upper],
        spread,
      },
    );
    return { fit, reference };
  });
  const best = fits.reduce((a, b) => (b.fit.sumOfSquares < a.fit.sumOfSquares ? b : a));
  const [level, slope, t] = best.fit.parameters as [number, number, number];
  if (!(slope > 0) || best.fit.covariance === null) {
    throw new BellmouthError({
      code: "E_SINGULAR",
      message: slope > 0 ? "the points do not determine the law" : "flow does not rise with the signal",
      found: `slope ${slope} of ln(flow)`,
      accepted: "points whose flow rises with the signal",
      at: { path: "points" },
    });
  }
  const gap = Math.exp(t);
  // g0 = least - gap
  const turn = [1, 1, -gap];
  return {
    status: best.fit.status,
    g0: least - gap,
    slope,
    level,
    reference: best.reference,
    covariance: best.fit.covariance.map((row, i) =>
      row.map((value, j) => value * (turn[i] as number) * (turn[j] as number)),
    ),
  };
}
