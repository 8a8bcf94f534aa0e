import {
  chebyshevRow,
  chebyshevToPowers,
  type LinearFit,
  linearLeastSquares,
  type NonlinearProblem,
  nonlinearLeastSquares,
} from "bellmouth/fit";
import { describe, expect, it } from "vitest";
import { accuracy } from "../support/accuracy.js";
import { dataJson } from "../support/data.js";

interface LinearSet {
  readonly certified: {
    readonly beta: number[];
    readonly se: number[];
    readonly residual_sd: number;
    readonly dof: number;
  };
  readonly x: (number | number[])[];
  readonly y: number[];
}
interface NonlinearSet {
  readonly start1: number[];
  readonly start2: number[];
  readonly certified: number[];
  readonly certified_sd: number[];
  readonly rss: number;
  readonly residual_sd: number;
  readonly x: number[];
  readonly y: number[];
}
const strd = dataJson<{
  readonly linear: Record<string, LinearSet>;
  readonly nonlinear: Record<string, NonlinearSet>;
}>("reference/12a-nist-strd.json");

const relative = (found: number, certified: number): number => Math.abs(found / certified - 1);
const worst = (found: readonly number[], certified: readonly number[]): number => {
  expect(found).toHaveLength(certified.length);
  return Math.max(...found.map((value, i) => relative(value, certified[i] as number)));
};
const errorsOf = (covariance: LinearFit["covariance"]): number[] =>
  (covariance ?? []).map((row, i) => Math.sqrt(row[i] as number));

describe("linear least squares against NIST StRD", () => {
  const powers = (degree: number) => (x: number | number[]) =>
    Array.from({ length: degree + 1 }, (_, k) => (x as number) ** k);
  const several = (x: number | number[]): number[] => [1, ...(x as number[])];
  it.each([
    ["Norris", powers(1), 1e-11],
    ["Pontius", powers(2), 1e-9],
    ["Longley", several, 1e-8],
  ] as const)("%s", (name, row, limit) => {
    const set = strd.linear[name] as LinearSet;
    const fit = linearLeastSquares(set.x.map(row), set.y);
    expect(fit.degreesOfFreedom).toBe(set.certified.dof);
    accuracy({
      id: `fit-nist-${name.toLowerCase()}`,
      area: "Least squares",
      what: `linear fit of ${name}: parameters`,
      evidence: "published values",
      source: `NIST Statistical Reference Datasets, ${name}`,
      compared: set.certified.beta.length,
      measured: worst(fit.parameters, set.certified.beta),
      limit,
      unit: "relative, worst",
    });
    expect(worst(errorsOf(fit.covariance), set.certified.se)).toBeLessThan(1e-7);
    expect(relative(fit.residualSd as number, set.certified.residual_sd)).toBeLessThan(1e-9);
  });

  it("Filip, by the Chebyshev basis", () => {
    const set = strd.linear["Filip"] as LinearSet;
    const x = set.x as number[];
    const [from, to] = [Math.min(...x), Math.max(...x)];
    const fit = linearLeastSquares(
      x.map((value) => chebyshevRow(value, from, to, 10)),
      set.y,
    );
    const turn = chebyshevToPowers(from, to, 10);
    const beta = turn.map((row) => row.reduce((sum, m, j) => sum + m * (fit.parameters[j] as number), 0));
    accuracy({
      id: "fit-nist-filip",
      area: "Least squares",
      what: "polynomial of degree ten of Filip: parameters",
      evidence: "published values",
      source: "NIST Statistical Reference Datasets, Filip",
      compared: beta.length,
      measured: worst(beta, set.certified.beta),
      limit: 1e-6,
      unit: "relative, worst",
    });
    const covariance = fit.covariance as readonly (readonly number[])[];
    const errors = turn.map((row) =>
      Math.sqrt(
        row.reduce(
          (a, mi, i) => a + row.reduce((b, mj, j) => b + mi * mj * (covariance[i]?.[j] as number), 0),
          0,
        ),
      ),
    );
    expect(worst(errors, set.certified.se)).toBeLessThan(1e-6);
    expect(relative(fit.residualSd as number, set.certified.residual_sd)).toBeLessThan(1e-9);
  });
});

describe("nonlinear least squares against NIST StRD", () => {
  const rational =
    (top: number) =>
    (b: readonly number[], x: number): number => {
      let above = 0;
      for (let k = top - 1; k >= 0; k--) above = above * x + (b[k] as number);
      let below = 0;
      for (let k = b.length - 1; k >= top; k--) below = (below + (b[k] as number)) * x;
      return above / (1 + below);
    };
  const models: Record<string, (b: readonly number[], x: number) => number> = {
    Misra1a: (b, x) => (b[0] as number) * (1 - Math.exp(-(b[1] as number) * x)),
    Chwirut2: (b, x) => Math.exp(-(b[0] as number) * x) / ((b[1] as number) + (b[2] as number) * x),
    DanWood: (b, x) => (b[0] as number) * x ** (b[1] as number),
    Kirby2: rational(3),
    Hahn1: rational(4),
    Thurber: rational(4),
  };
  it.each(Object.keys(models))("%s from both starts", (name) => {
    const set = strd.nonlinear[name] as NonlinearSet;
    const model = models[name] as (b: readonly number[], x: number) => number;
    const problem: NonlinearProblem = {
      residuals: (b) => set.x.map((x, i) => model(b, x) - (set.y[i] as number)),
    };
    const fits = [set.start1, set.start2].map((start) => nonlinearLeastSquares(problem, start));
    for (const fit of fits) {
      expect(fit.status).toBe("converged");
      expect(relative(fit.residualSd as number, set.residual_sd)).toBeLessThan(1e-8);
    }
    accuracy({
      id: `fit-nist-${name.toLowerCase()}`,
      area: "Least squares",
      what: `nonlinear fit of ${name} from both starts: parameters`,
      evidence: "published values",
      source: `NIST Statistical Reference Datasets, ${name}`,
      compared: 2 * set.certified.length,
      measured: Math.max(...fits.map((fit) => worst(fit.parameters, set.certified))),
      limit: 1e-6,
      unit: "relative, worst",
    });
    accuracy({
      id: `fit-nist-${name.toLowerCase()}-sd`,
      area: "Least squares",
      what: `nonlinear fit of ${name} from both starts: standard deviations of the parameters`,
      evidence: "published values",
      source: `NIST Statistical Reference Datasets, ${name}`,
      compared: 2 * set.certified.length,
      measured: Math.max(...fits.map((fit) => worst(errorsOf(fit.covariance), set.certified_sd))),
      limit: 1e-4,
      unit: "relative, worst",
    });
  });
});
