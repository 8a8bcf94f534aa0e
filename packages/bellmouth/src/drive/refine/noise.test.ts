import { describe, expect, it } from "vitest";
import { seededRandom } from "../../fit/index.js";
import { fitNoise, type NoiseLaw, type NoiseRows, reweigh, whitening } from "./noise.js";

const n = 20_000;
const step = 0.05;
const rowsOf = (): NoiseRows => ({
  n,
  step,
  use: new Uint8Array(n).fill(1),
  restart: Uint8Array.from({ length: n }, (_, t) => (t % 5000 === 0 ? 1 : 0)),
  weight: new Float64Array(n).fill(1),
  motion: new Float64Array(n),
  jolt: new Float64Array(n),
});

/** First-order process plus white noise, as defined in any text on time series; parameters are the check's own. */
function series(seed: number, memory: number, slow: number, fast: number): Float64Array {
  const random = seededRandom(seed);
  const keep = Math.exp(-step / memory);
  let state = slow * random.normal();
  return Float64Array.from({ length: n }, (_, t) => {
    if (t % 5000 === 0) state = slow * random.normal();
    else state = keep * state + slow * Math.sqrt(1 - keep * keep) * random.normal();
    return state + fast * random.normal();
  });
}

const start: NoiseLaw = { memory: 3, slow: 1e-3, fast: 1e-3, outliers: 0, doubt: 0 };

/** Noise and outliers in turn, as a drive's fit does. */
function settled(y: Float64Array, rows: NoiseRows): NoiseLaw {
  let law: NoiseLaw = { ...start, outliers: 0.01 };
  for (let round = 0; round < 6; round++) {
    law = fitNoise(y, rows, law, 0);
    law = reweigh(y, rows, law);
  }
  return law;
}

describe("noise of a drive", () => {
  it("finds memory and both standard deviations of a simulated series within a tenth", () => {
    const law = fitNoise(series(1, 0.6, 0.01, 0.008), rowsOf(), start, 0);
    expect(law.memory).toBeGreaterThan(0.5);
    expect(law.memory).toBeLessThan(0.72);
    expect(Math.sqrt(law.slow)).toBeCloseTo(0.01, 3);
    expect(Math.sqrt(law.fast)).toBeCloseTo(0.008, 3);
  });
  it("whitens: surprises over their deviation have unit variance and no memory", () => {
    const rows = rowsOf();
    const y = series(2, 0.6, 0.01, 0.008);
    const white = whitening({ ...start, memory: 0.6, slow: 1e-4, fast: 0.64e-4 }, rows);
    let mean = 0;
    const surprise: number[] = [];
    for (let t = 0; t < n; t++) {
      if (rows.restart[t] === 1) mean = 0;
      const s = y[t]! - mean;
      surprise.push(s * white.inverseSd[t]!);
      mean = white.decay * (mean + white.gain[t]! * s);
    }
    const variance = surprise.reduce((sum, s) => sum + s * s, 0) / n;
    const lag = surprise.slice(1).reduce((sum, s, i) => sum + s * surprise[i]!, 0) / n;
    // Sampling deviations: sqrt(2/n) = 0.01 and sqrt(1/n) = 0.007; four of them allowed.
    expect(Math.abs(variance - 1)).toBeLessThan(0.04);
    expect(Math.abs(lag)).toBeLessThan(0.028);
  });
  it("gives outliers little weight and finds their share", () => {
    const y = series(3, 0.6, 0.01, 0.008);
    const random = seededRandom(4);
    const hit = new Set<number>();
    for (let t = 0; t < n; t++)
      if (random.uniform() < 0.02) {
        y[t] = y[t]! + 0.25 * (random.uniform() < 0.5 ? -1 : 1);
        hit.add(t);
      }
    const rows = rowsOf();
    const law = settled(y, rows);
    const average = (pick: (t: number) => boolean): number => {
      const kept = [...rows.weight].filter((_, t) => pick(t));
      return kept.reduce((sum, w) => sum + w, 0) / kept.length;
    };
    expect(average((t) => hit.has(t))).toBeLessThan(0.05);
    expect(average((t) => !hit.has(t))).toBeGreaterThan(0.99);
    // 2 % of 20,000: a sampling deviation of 0.1 %, four of them.
    expect(Math.abs(law.outliers - 0.02)).toBeLessThan(0.004);
    expect(Math.sqrt(law.fast)).toBeCloseTo(0.008, 3);
  });
  it("finds no outliers in a series that has none", () => {
    const y = series(5, 0.6, 0.01, 0.008);
    const rows = rowsOf();
    const law = settled(y, rows);
    expect(law.outliers).toBeLessThan(0.001);
    expect(Math.sqrt(law.fast)).toBeCloseTo(0.008, 3);
  });
});
