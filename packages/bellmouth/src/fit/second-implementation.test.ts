import { PolynomialRegression, PowerRegression, SimpleLinearRegression } from "ml-regression";
import { describe, expect, it } from "vitest";
import { accuracy } from "../../../../tests/support/accuracy.js";
import { linearLeastSquares, seededRandom } from "./index.js";

const source = "ml-regression 6.3.0";
const relative = (a: number, b: number): number => Math.abs(a / b - 1);

/** Points of a law with 1 % of scatter, x from 1 to 10. */
function scattered(seed: number, law: (x: number) => number): { readonly x: number[]; readonly y: number[] } {
  const random = seededRandom(seed);
  const x = Array.from({ length: 24 }, (_, i) => 1 + (9 * i) / 23);
  return { x, y: x.map((at) => law(at) * (1 + 0.01 * random.normal())) };
}

describe("fits against a second implementation", () => {
  it("straight lines", () => {
    const off = [1, 2, 3, 4, 5].flatMap((seed) => {
      const { x, y } = scattered(seed, (at) => 3 + 0.7 * at);
      const ours = linearLeastSquares(
        x.map((at) => [1, at]),
        y,
      ).parameters;
      const theirs = new SimpleLinearRegression(x, y);
      return [relative(ours[0] as number, theirs.intercept), relative(ours[1] as number, theirs.slope)];
    });
    accuracy({
      id: "fit-line-ml-regression",
      area: "Least squares",
      what: "intercept and slope of straight lines through scattered points",
      evidence: "other implementation",
      source,
      compared: off.length,
      measured: Math.max(...off),
      limit: 1e-9,
      unit: "relative, worst",
    });
  });

  it("power laws, as lines in logarithms", () => {
    const off = [6, 7, 8, 9, 10].flatMap((seed) => {
      const { x, y } = scattered(seed, (at) => 0.4 * at ** 2.3);
      const [lnA, b] = linearLeastSquares(
        x.map((at) => [1, Math.log(at)]),
        y.map(Math.log),
      ).parameters;
      const theirs = new PowerRegression(x, y);
      return [relative(Math.exp(lnA as number), theirs.A), relative(b as number, theirs.B)];
    });
    accuracy({
      id: "fit-power-ml-regression",
      area: "Least squares",
      what: "factor and exponent of power laws through scattered points",
      evidence: "other implementation",
      source,
      compared: off.length,
      measured: Math.max(...off),
      limit: 1e-9,
      unit: "relative, worst",
    });
  });

  it("loses far more digits on an ill-conditioned polynomial, without an error, which is why fits here are our own", () => {
    // Around x = -8.8 to -3.1, as NIST's Filip set lies; ours holds Filip to 1e-6 (tests/conformance/fit.test.ts).
    const x = Array.from({ length: 82 }, (_, i) => -8.8 + (5.7 * i) / 81);
    const wanted = Array.from({ length: 11 }, (_, k) => (k % 2 === 0 ? 1 : -1));
    const y = x.map((at) => wanted.reduce((sum, c, k) => sum + c * at ** k, 0));
    const theirs = new PolynomialRegression(x, y, 10).coefficients;
    const ours = linearLeastSquares(
      x.map((at) => wanted.map((_, k) => at ** k)),
      y,
    ).parameters;
    const worst = (found: readonly number[]): number =>
      wanted.reduce((most, c, k) => Math.max(most, Math.abs((found[k] as number) - c)), 0);
    expect(worst(theirs)).toBeGreaterThan(100 * worst(ours));
  });
});
