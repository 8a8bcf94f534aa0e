/**
 * The k-th smallest value (k from 0) of values[from..to), which it reorders: Hoare's quickselect. Two of ten thousand
 * draws a cell are wanted, so sorting them all would cost more than drawing them.
 */
export function select(values: Float64Array, from: number, to: number, k: number): number {
  let low = from;
  let high = to - 1;
  const target = from + k;
  while (low < high) {
    const middle = (low + high) >> 1;
    const a = values[low] as number;
    const b = values[middle] as number;
    const c = values[high] as number;
    const pivot = a < b ? (b < c ? b : Math.max(a, c)) : a < c ? a : Math.max(b, c);
    let i = low;
    let j = high;
    while (i <= j) {
      while ((values[i] as number) < pivot) i++;
      while ((values[j] as number) > pivot) j--;
      if (i <= j) {
        const held = values[i] as number;
        values[i] = values[j] as number;
        values[j] = held;
        i++;
        j--;
      }
    }
    if (target <= j) high = j;
    else if (target >= i) low = i;
    else break;
  }
  return values[target] as number;
}

/** What a set of draws says of a quantity. */
export interface DrawnQuantity {
  readonly mean: number;
  /** standard deviation of the draws */
  readonly u: number;
  /** probabilistically symmetric 95 % coverage interval */
  readonly low: number;
  readonly high: number;
}

/**
 * Mean, standard deviation and symmetric 95 % interval of values[from..to), which it reorders; all in the same unit as
 * the values. `from` and `to` count values [1].
 *
 * @source JCGM 101:2008, 7.6 (estimate and standard uncertainty) and 7.7 (coverage interval by order statistics).
 */
export function summariseDraws(values: Float64Array, from = 0, to = values.length): DrawnQuantity {
  const n = to - from;
  // Deviations from the first draw keep their digits where the spread is small against the value.
  const origin = values[from] as number;
  let sum = 0;
  let square = 0;
  for (let i = from; i < to; i++) {
    const d = (values[i] as number) - origin;
    sum += d;
    square += d * d;
  }
  const inside = Math.round(0.95 * n);
  const skip = Math.max(0, Math.round((n - inside) / 2) - 1);
  const low = select(values, from, to, skip);
  // All that is left of `low` is settled; the upper one is sought to its right.
  const upper = Math.min(n - 1, skip + inside);
  const high = upper > skip ? select(values, from + skip + 1, to, upper - skip - 1) : low;
  return {
    mean: origin + sum / n,
    u: Math.sqrt(Math.max(0, (square - (sum * sum) / n) / (n - 1))),
    low,
    high,
  };
}
