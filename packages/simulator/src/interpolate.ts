/** Straight lines through points, ends held. */
export function lineThrough(x: readonly number[], y: readonly number[], at: number): number {
  const last = x.length - 1;
  if (!(at > x[0]!)) return y[0]!;
  if (at >= x[last]!) return y[last]!;
  let low = 0;
  let high = last;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (x[middle]! <= at) low = middle;
    else high = middle;
  }
  return y[low]! + ((y[high]! - y[low]!) * (at - x[low]!)) / (x[high]! - x[low]!);
}

/** First-order lag over a step [s], exact for an input held over the step. */
export const lagShare = (step: number, timeConstant: number): number =>
  timeConstant > 0 ? 1 - Math.exp(-step / timeConstant) : 1;
