import type { CarSpec } from "@bellmouth/simulator";

/** Whitens by the Kalman filter of slow (first-order Markov) plus white noise, with rows left out where there is none. */
export function makeWhitener(car: CarSpec, size: number) {
  const { whiteNoise, slowNoise, correlationTime, outliers } = car.lambdaSensor;
  const white = whiteNoise ** 2;
  const slow = slowNoise ** 2;
  let time = Number.NaN;
  let variance = slow;
  let state = 0;
  const states = new Float64Array(size);
  const innovation = new Float64Array(size);
  const used: number[] = [];
  return {
    add: (
      at: number,
      residue: number,
      derivative: Float64Array,
      scale: number,
      extra: number,
      matrix: Float64Array[],
      right: Float64Array,
    ): void => {
      const keep = Number.isNaN(time) ? 0 : Math.exp(-(at - time) / correlationTime);
      time = at;
      state *= keep;
      variance = keep * keep * variance + (1 - keep * keep) * slow;
      const total = variance + white + extra;
      const surprise = residue - state;
      // Probability that this row is not an outlier, the outliers being spread uniformly over about +-2 sizes.
      const good =
        ((1 - outliers.probability) * Math.exp((-0.5 * surprise ** 2) / total)) /
        Math.sqrt(2 * Math.PI * total);
      const bad = outliers.probability / (4 * Math.max(outliers.size, 1e-6));
      const weight = good / (good + bad);
      const gain = (weight * variance) / total;
      used.length = 0;
      for (let c = 0; c < size; c++) {
        states[c]! *= keep;
        const value = derivative[c]! * scale - states[c]!;
        innovation[c] = value;
        states[c]! += gain * value;
        if (Math.abs(value) > 1e-9) used.push(c);
      }
      state += gain * surprise;
      variance *= 1 - gain;
      const w = weight / total;
      for (const a of used) {
        const wa = w * innovation[a]!;
        right[a]! += wa * surprise;
        const line = matrix[a]!;
        for (const b of used) line[b]! += wa * innovation[b]!;
      }
    },
  };
}
