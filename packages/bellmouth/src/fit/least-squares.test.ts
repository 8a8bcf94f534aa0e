import { describe, expect, it } from "vitest";
import { linearLeastSquares, nonlinearLeastSquares } from "./index.js";

describe("linearLeastSquares", () => {
  it("gives line, covariance and leverage of a case done by hand", () => {
    // y = 1 + 2 x + (1, -2, 1)/6 at x = 0, 1, 2: the remainder is orthogonal to the line.
    const y = [1 + 1 / 6, 3 - 2 / 6, 5 + 1 / 6];
    const fit = linearLeastSquares(
      [0, 1, 2].map((x) => [1, x]),
      y,
    );
    expect(fit.parameters[0]).toBeCloseTo(1, 14);
    expect(fit.parameters[1]).toBeCloseTo(2, 14);
    expect(fit.sumOfSquares).toBeCloseTo(1 / 6, 14);
    expect(fit.covariance?.[1]?.[1]).toBeCloseTo(1 / 12, 14);
    expect(fit.leverage[0]).toBeCloseTo(5 / 6, 14);
    expect(fit.leverage.reduce((a, b) => a + b, 0)).toBeCloseTo(2, 14);
  });
  it("weights count like repeated observations", () => {
    const once = linearLeastSquares(
      [0, 1, 1, 2].map((x) => [1, x]),
      [1, 3, 3, 4],
    );
    const weighted = linearLeastSquares(
      [0, 1, 2].map((x) => [1, x]),
      [1, 3, 4],
      { weights: [1, 2, 1] },
    );
    expect(weighted.parameters[0]).toBeCloseTo(once.parameters[0] as number, 13);
    expect(weighted.parameters[1]).toBeCloseTo(once.parameters[1] as number, 13);
  });
  it("takes a known spread from the weights", () => {
    const fit = linearLeastSquares([[1], [1], [1], [1]], [1, 2, 3, 4], {
      weights: [4, 4, 4, 4],
      spread: "known",
    });
    expect(fit.covariance?.[0]?.[0]).toBeCloseTo(0.25 / 4, 14);
  });
  it("has no covariance without degrees of freedom, unless the spread is known", () => {
    const fit = linearLeastSquares([[1]], [3]);
    expect(fit.covariance).toBeNull();
    expect(fit.residualSd).toBeNull();
  });
  it.each([
    ["E_TOO_LITTLE_DATA", [[1, 2]], [1]],
    [
      "E_SINGULAR",
      [
        [1, 2],
        [2, 4],
        [3, 6],
      ],
      [1, 2, 3],
    ],
    [
      "E_SINGULAR",
      [
        [1, 0],
        [1, 0],
      ],
      [1, 2],
    ],
    ["E_SHAPE", [[1], [1, 2]], [1, 2]],
    ["E_SHAPE", [[1], [1]], [1]],
    ["E_DOMAIN", [[1], [Number.NaN]], [1, 2]],
    ["E_DOMAIN", [[1], [1]], [1, Number.NaN]],
  ])("refuses with %s", (code, design, y) => {
    expect(() => linearLeastSquares(design, y)).toThrow(new RegExp(code));
  });
  it("refuses negative weights", () => {
    expect(() => linearLeastSquares([[1], [1]], [1, 2], { weights: [1, -1] })).toThrow(/E_DOMAIN/);
  });
});

describe("nonlinearLeastSquares", () => {
  const x = [0, 1, 2, 3, 4];
  const decay = (rate: number) => x.map((value) => 3 * Math.exp(-rate * value));
  it("finds an exact solution, with or without a Jacobian", () => {
    const y = decay(0.7);
    const residuals = (p: readonly number[]) =>
      x.map((value, i) => (p[0] as number) * Math.exp(-(p[1] as number) * value) - (y[i] as number));
    const jacobian = (p: readonly number[]) =>
      x.map((value) => {
        const e = Math.exp(-(p[1] as number) * value);
        return [e, -(p[0] as number) * value * e];
      });
    for (const problem of [{ residuals }, { residuals, jacobian }]) {
      const fit = nonlinearLeastSquares(problem, [1, 0.1]);
      expect(fit.status).toBe("converged");
      expect(fit.parameters[0]).toBeCloseTo(3, 10);
      expect(fit.parameters[1]).toBeCloseTo(0.7, 10);
    }
  });
  it("stops at a bound and says so", () => {
    const y = decay(0.7);
    const fit = nonlinearLeastSquares(
      { residuals: (p) => x.map((v, i) => 3 * Math.exp(-(p[0] as number) * v) - (y[i] as number)) },
      [0.2],
      { lower: [0], upper: [0.5] },
    );
    expect(fit.status).toBe("at-bound");
    expect(fit.parameters).toEqual([0.5]);
    expect(fit.held).toEqual([0]);
  });
  it("says when the data do not determine the parameters", () => {
    const fit = nonlinearLeastSquares(
      { residuals: (p) => x.map((v) => (p[0] as number) * (p[1] as number) * v - 2 * v) },
      [1, 1],
    );
    expect(fit.status).toBe("singular");
    expect(fit.covariance).toBeNull();
  });
  it("says when it ran out of steps", () => {
    const y = decay(0.7);
    const fit = nonlinearLeastSquares(
      {
        residuals: (p) =>
          x.map((v, i) => (p[0] as number) * Math.exp(-(p[1] as number) * v) - (y[i] as number)),
      },
      [1, 0.1],
      { maxIterations: 2 },
    );
    expect(fit.status).toBe("max-iterations");
  });
  it("settles where the best value is zero", () => {
    const fit = nonlinearLeastSquares(
      { residuals: (p) => [1, -1].map((e, i) => (p[0] as number) * (i + 1) + e * (2 - i)) },
      [5],
    );
    // least squares of (p + 2, 2 p - 1): p = 0
    expect(fit.status).toBe("converged");
    expect(Math.abs(fit.parameters[0] as number)).toBeLessThan(1e-9);
  });
  it("refuses a start it cannot evaluate and fewer residuals than parameters", () => {
    expect(() => nonlinearLeastSquares({ residuals: () => [Number.NaN] }, [1])).toThrow(/E_DOMAIN/);
    expect(() => nonlinearLeastSquares({ residuals: () => [1] }, [1, 2])).toThrow(/E_TOO_LITTLE_DATA/);
    expect(() => nonlinearLeastSquares({ residuals: () => [1] }, [Number.NaN])).toThrow(/E_DOMAIN/);
    expect(() => nonlinearLeastSquares({ residuals: () => [1] }, [1], { lower: [1, 2] })).toThrow(/E_SHAPE/);
  });
});
