import { describe, expect, it } from "vitest";
import { linearLeastSquares, seededRandom } from "../../fit/index.js";
import {
  combine,
  covarianceOfLoads,
  freedomOfLoads,
  type LinkedSeries,
  linkedRegressions,
  loadsOf,
} from "./linked-regressions.js";

const random = seededRandom(11);
const design = [1, 1.4, 1.9, 2.2, 2.9, 3.1, 3.6].map((x) => [x, x * x]);
const series = (from: number): LinkedSeries => ({
  design,
  y: design.map(([x, s]) => from * (x as number) + 2 * (s as number) + random.normal()),
});

describe("linkedRegressions", () => {
  it("gives a combination over series the variance and freedom of the regression of the combined series", () => {
    const a = series(1);
    const b = series(3);
    const fit = linkedRegressions(
      [a, b],
      design.map(() => 1),
    );
    const x = [2.5, 6.25];
    const weights = [x.map((value) => -value), x];
    const loads = loadsOf(fit, weights);
    const direct = linearLeastSquares(
      design,
      a.y.map((y, k) => (b.y[k] as number) - y),
    );
    const value = x.reduce((sum, one, i) => sum + one * (direct.parameters[i] as number), 0);
    const variance = x.reduce(
      (sum, one, i) =>
        sum + x.reduce((inner, two, j) => inner + one * two * (direct.covariance?.[i]?.[j] as number), 0),
      0,
    );
    const covariance = fit.covariance as number[][];
    expect(combine(fit, weights)).toBeCloseTo(value, 10);
    expect(covarianceOfLoads(fit, covariance, loads, loads)).toBeCloseTo(variance, 10);
    expect(freedomOfLoads(fit, covariance, loads)).toBeCloseTo(5, 10);
  });
  it("treats series measured on different occasions as independent, with Welch's degrees of freedom", () => {
    const missing = (one: LinkedSeries, even: boolean): LinkedSeries => ({
      design: [...one.design, ...one.design],
      y: [...one.y, ...one.y].map((y, k) => (k < 7 === even ? y : Number.NaN)),
    });
    const a = missing(series(1), true);
    const b = missing(series(2), false);
    const fit = linkedRegressions([a, b], new Array(14).fill(1));
    const covariance = fit.covariance as number[][];
    expect(covariance[0]?.[1]).toBe(0);
    const weights = [
      [1, 0],
      [1, 0],
    ];
    const loads = loadsOf(fit, weights);
    const own = [0, 1].map((i) => {
      const only = loads.map((row, j) => (i === j ? row : row.map(() => 0)));
      return covarianceOfLoads(fit, covariance, only, only);
    }) as [number, number];
    const welch = (own[0] + own[1]) ** 2 / (own[0] ** 2 / 5 + own[1] ** 2 / 5);
    expect(freedomOfLoads(fit, covariance, loads)).toBeCloseTo(welch, 8);
  });
  it("says that no freedom is left when points equal coefficients", () => {
    const two = { design: design.slice(0, 2), y: [1, 2] };
    expect(linkedRegressions([two], [1, 1]).covariance).toBeNull();
  });
});
