/**
 * Noise of a lambda log: a slow part that is remembered from sample to sample (first-order, correlation time `memory`)
 * plus a fast part that is not, a share of whose samples are outliers that tell nothing. Estimated per drive, because counting samples as
 * if they were independent is what makes intervals too narrow.
 */
export interface NoiseLaw {
  /** Correlation time of the slow part [s]. */
  readonly memory: number;
  /** Variance of the slow part [1], of ln lambda. */
  readonly slow: number;
  /** Variance of the fast part [1], of ln lambda, outliers apart. */
  readonly fast: number;
  /** Share of the samples that are outliers [1]: anywhere within `outlierRange`, whatever the mixture is. */
  readonly outliers: number;
  /** What the model of transients gets wrong, as a share of what moves [1]: it reopens the slow part while load changes. */
  readonly doubt: number;
}

/** Rows of a drive as the noise sees them. */
export interface NoiseRows {
  readonly n: number;
  /** Grid step [s]. */
  readonly step: number;
  /** 1 where a row counts, 0 where it is left out. */
  readonly use: Uint8Array;
  /** 1 where memory is lost: the first row and the first after a gap. */
  readonly restart: Uint8Array;
  /** Probability of each row to be no outlier [1]: its information counts by as much. */
  readonly weight: Float64Array;
  /** Square of what moved since the row before [1], which a share `doubt` of is not believed. */
  readonly motion: Float64Array;
  /** Variance that comes in at a row because what went before is not known [1]. */
  readonly jolt: Float64Array;
}

/** Kalman gains of the slow part and one over the standard deviation of each row's surprise. */
export interface Whitening {
  readonly decay: number;
  readonly gain: Float64Array;
  readonly inverseSd: Float64Array;
}

/**
 * Gains with which a pass over the rows turns correlated rows into independent ones of unit variance: exact for the law,
 * with gaps and left-out rows.
 */
export function whitening(law: NoiseLaw, rows: NoiseRows): Whitening {
  const { n, use, restart, weight, motion, jolt } = rows;
  const doubt = law.doubt ** 2;
  const gain = new Float64Array(n);
  const inverseSd = new Float64Array(n);
  const decay = Math.exp(-rows.step / law.memory);
  const square = decay * decay;
  const fresh = law.slow * (1 - square);
  const { slow } = law;
  let variance = +slow;
  for (let t = 0; t < n; t++) {
    if (restart[t] === 1) variance = +slow;
    else variance += doubt * motion[t]! + jolt[t]!;
    let g = 0;
    if (use[t] === 1) {
      const total = variance + law.fast / weight[t]!;
      g = variance / total;
      inverseSd[t] = 1 / Math.sqrt(total);
      gain[t] = g;
    }
    variance = square * (1 - g) * variance + fresh;
  }
  return { decay, gain, inverseSd };
}

/** Sum of squared whitened residuals and of ln variances over the rows used. */
interface Likelihood {
  readonly squares: number;
  readonly logVariance: number;
  readonly count: number;
}

function likelihood(
  memory: number,
  slow: number,
  fast: number,
  doubt: number,
  perScale: number,
  rows: NoiseRows,
  residual: Float64Array,
  to: number,
): Likelihood {
  const { use, restart, weight, motion, jolt } = rows;
  const decay = Math.exp(-rows.step / memory);
  const square = decay * decay;
  const fresh = slow * (1 - square);
  // With the sign the engine knows a number for one; without, it would box this variable on every row.
  let variance = +slow;
  let mean = 0;
  let squares = 0;
  let product = 1;
  let logVariance = 0;
  let count = 0;
  for (let t = 0; t < to; t++) {
    if (restart[t] === 1) {
      variance = +slow;
      mean = 0;
    } else variance += doubt * motion[t]! + jolt[t]! * perScale;
    // An outlier says nothing of scale: counted, its missing square would make the noise look small.
    if (use[t] === 1 && weight[t]! > 0.05) {
      const total = variance + fast / weight[t]!;
      const surprise = residual[t]! - mean;
      squares += (surprise * surprise) / total;
      // Products of sixteen variances at a time: one logarithm a row would be most of the cost.
      product *= total;
      if ((count++ & 15) === 15) {
        logVariance += Math.log(product);
        product = 1;
      }
      const g = variance / total;
      mean = decay * (mean + g * surprise);
      variance = square * (1 - g) * variance + fresh;
    } else {
      mean *= decay;
      variance = square * variance + fresh;
    }
  }
  return { squares, logVariance: logVariance + Math.log(product), count };
}

/**
 * Most likely memory and variances for given residuals and weights. The overall scale is solved in closed form, so the search is
 * over memory and the ratio of the two parts: a coarse grid about the last law, then a shrinking pattern.
 *
 * @param residual what is left of ln lambda after the model [1]
 * @param from     law to start from; its share of outliers is kept
 * @param lost     parameters that were fitted to these residuals: the scale is raised for them
 * @param options  `to`: rows looked at, for long drives; `near`: `from` is near already, search about it only
 */
export function fitNoise(
  residual: Float64Array,
  rows: NoiseRows,
  from: NoiseLaw,
  lost: number,
  options: { readonly to?: number; readonly near?: boolean } = {},
): NoiseLaw {
  const to = options.to ?? rows.n;
  let best = {
    value: Number.POSITIVE_INFINITY,
    memory: from.memory,
    share: 0.5,
    doubt: 0,
    scale: from.slow + from.fast,
  };
  const whole = from.slow + from.fast;
  // The doubt is relative to the scale inside the search, so that the scale stays solvable in closed form.
  const attempt = (memory: number, share: number, doubt: number): boolean => {
    const found = likelihood(memory, share, 1 - share, doubt, 1 / whole, rows, residual, to);
    if (!(found.count > lost + 10)) return false;
    const scale = found.squares / (found.count - lost);
    const value = found.count * Math.log(scale) + found.logVariance;
    if (!(value < best.value)) return false;
    best = { value, memory, share, doubt, scale };
    return true;
  };
  const logit = (share: number): number => Math.log(share / (1 - share));
  const expit = (x: number): number => 1 / (1 + Math.exp(-x));
  const shareNow = Math.min(0.995, Math.max(0.005, from.slow / whole));
  const doubtNow = Math.max(1, from.doubt ** 2 / whole);
  attempt(from.memory, shareNow, doubtNow);
  if (options.near !== true)
    for (const memory of [0.2, 0.6, 2, 6])
      for (const share of [0.1, 0.5, 0.9]) attempt(memory, share, doubtNow);
  for (let span = options.near === true ? 0.2 : 0.8; span > 0.05; ) {
    const { memory, share, doubt } = best;
    const x = logit(share);
    let moved = false;
    for (const [dm, dx, dd] of [
      [span, 0, 0],
      [-span, 0, 0],
      [0, 1.5 * span, 0],
      [0, -1.5 * span, 0],
      [span, 1.5 * span, 0],
      [-span, -1.5 * span, 0],
      [0, 0, 2 * span],
      [0, 0, -2 * span],
    ] as const) {
      const m = Math.min(60, Math.max(rows.step / 3, memory * Math.exp(dm)));
      const s = Math.min(0.999, Math.max(0.001, expit(x + dx)));
      if (attempt(m, s, Math.min(1e5, Math.max(1e-2, doubt * Math.exp(dd))))) moved = true;
    }
    if (!moved) span /= 2;
  }
  return {
    memory: best.memory,
    slow: best.scale * best.share,
    fast: best.scale * (1 - best.share),
    doubt: Math.sqrt(best.scale * best.doubt),
    outliers: from.outliers,
  };
}

/** Outliers lie anywhere within this of ln lambda [1], about what a wideband sensor shows. */
const outlierRange = 0.6;
/** Least and greatest share of outliers [1]. */
const outlierShare = [2e-4, 0.1] as const;
/** Least weight of a row [1]: an outlier for certain. */
const leastWeight = 1e-6;

/**
 * How likely each row is no outlier, by one expectation step: the slow part is smoothed out of the residual, and what is left is weighed
 * as normal noise against anything within the range. Writes `rows.weight`.
 *
 * @returns the law with the share of outliers that its rows now show
 * @source A. P. Dempster, N. M. Laird, D. B. Rubin, J. R. Stat. Soc. B 39 (1977) 1-38: finite mixtures.
 */
export function reweigh(residual: Float64Array, rows: NoiseRows, law: NoiseLaw): NoiseLaw {
  const { n, use, restart, weight, motion, jolt } = rows;
  const doubt = law.doubt ** 2;
  const decay = Math.exp(-rows.step / law.memory);
  const square = decay * decay;
  const fresh = law.slow * (1 - square);
  const ahead = new Float64Array(n);
  const mean = new Float64Array(n);
  const variance = new Float64Array(n);
  let m = 0;
  let v = law.slow;
  for (let t = 0; t < n; t++) {
    if (t > 0) {
      m = restart[t] === 1 ? 0 : decay * m;
      v = restart[t] === 1 ? law.slow : square * v + fresh + doubt * motion[t]! + jolt[t]!;
    }
    ahead[t] = v;
    if (use[t] === 1) {
      const g = v / (v + law.fast / weight[t]!);
      m += g * (residual[t]! - m);
      v *= 1 - g;
    }
    mean[t] = m;
    variance[t] = v;
  }
  let sm = 0;
  let sv = 0;
  let inside = 0;
  let count = 0;
  const peak = (1 - law.outliers) / Math.sqrt(2 * Math.PI * law.fast);
  const other = law.outliers / outlierRange;
  for (let t = n - 1; t >= 0; t--) {
    if (t === n - 1 || restart[t + 1] === 1) {
      sm = mean[t]!;
      sv = variance[t]!;
    } else {
      const next = ahead[t + 1]!;
      const back = (decay * variance[t]!) / next;
      sm = mean[t]! + back * (sm - decay * mean[t]!);
      sv = variance[t]! + back * back * (sv - next);
    }
    if (use[t] === 1) {
      const left = residual[t]! - sm;
      const normal = peak * Math.exp((-0.5 * (left * left + sv)) / law.fast);
      weight[t] = Math.max(leastWeight, normal / (normal + other));
      inside += weight[t]!;
      count++;
    }
  }
  const [least, most] = outlierShare;
  const outliers = count < 50 ? law.outliers : Math.min(most, Math.max(least, 1 - inside / count));
  return { ...law, outliers };
}

/** Sum of squared whitened residuals: what a trial step is judged by. */
export function whitenedSquares(
  residual: Float64Array,
  white: Whitening,
  use: Uint8Array,
  restart: Uint8Array,
): number {
  const { gain, inverseSd, decay } = white;
  let mean = 0;
  let sum = 0;
  for (let t = 0; t < residual.length; t++) {
    if (restart[t] === 1) mean = 0;
    if (use[t] === 1) {
      const surprise = residual[t]! - mean;
      const y = surprise * inverseSd[t]!;
      sum += y * y;
      mean = decay * (mean + gain[t]! * surprise);
    } else mean *= decay;
  }
  return sum;
}
