import { describe, expect, it } from "vitest";
import { seededRandom } from "../../fit/index.js";
import { choleskyFactor, choleskyInverse, choleskySolve, logDeterminant } from "./cholesky.js";
import { explain, posteriorOver, prepareForm, priorBasis, scaleFactors } from "./posterior.js";
import type { PriorParts } from "./prior.js";

const n = 40;
const random = seededRandom(21);

/** Smooth prior with a common part, and a likelihood of random rows that look at two neighbouring places. */
function problem(): { parts: PriorParts; matrix: Float64Array; vector: Float64Array } {
  const common = new Float64Array(n * n).fill(0.03 ** 2);
  const shape = new Float64Array(n * n);
  for (let i = 0; i < n; i++)
    for (let j = 0; j < n; j++)
      shape[i * n + j] = 0.03 ** 2 * Math.exp(-0.5 * ((i - j) / 6) ** 2) + (i === j ? 1e-6 : 0);
  const matrix = new Float64Array(n * n);
  const vector = new Float64Array(n);
  for (let row = 0; row < 300; row++) {
    const k = Math.floor((n - 1) * random.uniform() ** 2);
    const share = random.uniform();
    const y = 0.02 + 0.01 * Math.sin(k / 5) + 0.02 * random.normal();
    for (const [i, a] of [
      [k, 1 - share],
      [k + 1, share],
    ] as const) {
      vector[i] = vector[i]! + (a * y) / 4e-4;
      for (const [j, b] of [
        [k, 1 - share],
        [k + 1, share],
      ] as const)
        matrix[i * n + j] = matrix[i * n + j]! + (a * b) / 4e-4;
    }
  }
  return { parts: { common, shape }, matrix, vector };
}

/** The same without sharing: the whole prior factored anew for every pair of scales. */
function unshared({ parts, matrix, vector }: ReturnType<typeof problem>) {
  const all = scaleFactors.flatMap((c) =>
    scaleFactors.map((s) => {
      const prior = parts.common.map((value, i) => c * value + s * parts.shape[i]!);
      const factor = choleskyFactor(prior, n)!;
      const inverse = choleskyInverse(factor, n);
      const whole = choleskyFactor(
        inverse.map((value, i) => value + matrix[i]!),
        n,
      )!;
      const mean = choleskySolve(whole, n, vector);
      const covariance = choleskyInverse(whole, n);
      let pull = 0;
      for (let k = 0; k < n; k++) pull += 0.5 * vector[k]! * mean[k]!;
      const logEvidence =
        pull -
        0.5 * (logDeterminant(whole, n) + logDeterminant(factor, n)) -
        0.5 * (Math.log(c) ** 2 + Math.log(s) ** 2);
      return { mean, covariance, logEvidence };
    }),
  );
  const top = all.reduce((most, one) => Math.max(most, one.logEvidence), Number.NEGATIVE_INFINITY);
  const weight = all.map((one) => Math.exp(one.logEvidence - top));
  const sum = weight.reduce((a, b) => a + b, 0);
  const mean = Float64Array.from({ length: n }, (_, k) =>
    all.reduce((total, one, i) => total + (weight[i]! / sum) * one.mean[k]!, 0),
  );
  const u = Array.from(mean, (m, k) =>
    Math.sqrt(
      all.reduce(
        (total, one, i) =>
          total + (weight[i]! / sum) * (one.covariance[k * (n + 1)]! + (one.mean[k]! - m) ** 2),
        0,
      ),
    ),
  );
  return { mean, u, logEvidence: top + Math.log(sum / all.length) };
}

describe("P1: the shared factorisation", () => {
  it("gives the mean within 0.02 u, u within 1 % and the evidence of the unshared computation", () => {
    for (let trial = 0; trial < 4; trial++) {
      const given = problem();
      const plain = unshared(given);
      const basis = priorBasis(given.parts, n)!;
      const form = { matrix: given.matrix, vector: given.vector, logEvidence: 0 };
      const one = explain(prepareForm(basis, form), null);
      const { mean, covariance } = posteriorOver([{ one, lnWeight: 0 }]);
      expect(one.logEvidence).toBeCloseTo(plain.logEvidence, 3);
      for (let k = 0; k < n; k++) {
        expect(Math.abs(mean[k]! - plain.mean[k]!)).toBeLessThan(0.02 * plain.u[k]!);
        expect(Math.abs(Math.sqrt(covariance[k * (n + 1)]!) / plain.u[k]! - 1)).toBeLessThan(0.01);
      }
    }
  });
  it("estimates a cause beside the curve as one more unknown does", () => {
    const given = problem();
    const effect = Float64Array.from({ length: n }, (_, k) => Math.exp(-k / 4));
    const size = n + 1;
    const matrix = new Float64Array(size * size);
    const vector = new Float64Array(size);
    // A row that sees the cause at place k: the knots' columns and the cause's.
    for (let r = 0; r < n; r++) {
      vector[r] = given.vector[r]!;
      for (let c = 0; c < n; c++) matrix[r * size + c] = given.matrix[r * n + c]!;
    }
    for (let r = 0; r < n; r++) {
      const w = 50 * (1 + (r % 3));
      matrix[r * size + r] = matrix[r * size + r]! + w;
      matrix[r * size + n] = w * effect[r]!;
      matrix[n * size + r] = w * effect[r]!;
      matrix[n * size + n] = matrix[n * size + n]! + w * effect[r]! ** 2;
      vector[r] = vector[r]! + w * (0.02 + 0.1 * effect[r]!);
      vector[n] = vector[n]! + w * effect[r]! * (0.02 + 0.1 * effect[r]!);
    }
    const spread = 0.2;
    const basis = priorBasis(given.parts, n)!;
    const one = explain(prepareForm(basis, { matrix, vector, logEvidence: 0 }), { index: 0, spread });
    const { cause } = posteriorOver([{ one, lnWeight: 0 }]);
    // The same with the cause as one more place of its own in a prior of unit scales, the likeliest pair.
    const best = one.candidates.reduce((a, b) => (b.logEvidence > a.logEvidence ? b : a));
    const prior = new Float64Array(size * size);
    for (let r = 0; r < n; r++)
      for (let c = 0; c < n; c++)
        prior[r * size + c] =
          best.common * given.parts.common[r * n + c]! + best.shape * given.parts.shape[r * n + c]!;
    prior[n * size + n] = spread ** 2;
    const whole = choleskyFactor(
      choleskyInverse(choleskyFactor(prior, size)!, size).map((value, i) => value + matrix[i]!),
      size,
    )!;
    const direct = choleskySolve(whole, size, vector)[n]!;
    expect(best.extras.at(-1)!).toBeCloseTo(direct, 6);
    expect(Math.abs(cause!.size - direct)).toBeLessThan(cause!.u);
  });
});
