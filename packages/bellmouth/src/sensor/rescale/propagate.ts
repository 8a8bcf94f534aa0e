import { BellmouthError, requireNumber } from "../../fault/index.js";
import type { RandomSource } from "../../fit/index.js";
import type { Uncertain } from "../housing.js";
import { type DrawnQuantity, summariseDraws } from "./draws.js";
import { dot, lowRankFactor } from "./low-rank.js";

/** An input of a model: value, standard uncertainty, and how it is spread when drawn. Normal where nothing is said. */
export interface ModelInput extends Uncertain {
  /** "rectangular": even between value - sqrt(3) u and value + sqrt(3) u */
  readonly spread?: "normal" | "rectangular";
}

/** Several outputs of several inputs. */
export type Model = (inputs: readonly number[]) => readonly number[];

/** Correlation coefficients of the inputs [1]; independent where not given. */
export interface Correlated {
  readonly correlation?: readonly (readonly number[])[];
}

export interface Propagated {
  readonly values: readonly number[];
  /** standard uncertainties of the outputs */
  readonly u: readonly number[];
  /** covariance of the outputs */
  readonly covariance: readonly (readonly number[])[];
}

/** Coefficient of two inputs. A hair beyond one is rounding of whoever estimated it, and taken as one. */
function coefficient(given: Correlated["correlation"], i: number, j: number): number {
  if (given === undefined) return Number(i === j);
  const most = 1 + 1e-9;
  const r = requireNumber(given[i]?.[j] ?? Number.NaN, `correlation[${i}][${j}]`, "1", {
    from: -most,
    to: most,
  });
  return Math.min(1, Math.max(-1, r));
}

const centreOf = (inputs: readonly ModelInput[]): number[] =>
  inputs.map(({ value, u }, i) => {
    requireNumber(u, `inputs[${i}].u`, "the input's unit", { from: 0 });
    return requireNumber(value, `inputs[${i}].value`, "the input's unit");
  });

/**
 * First-order propagation of uncertainty through a model: each input's share is half the change of the outputs between
 * the input's value plus and minus its standard uncertainty.
 *
 * @param model   outputs of inputs, any units
 * @param inputs  values and standard uncertainties, in the model's units
 * @param options correlation coefficients [1] of the inputs
 * @throws `E_DOMAIN` on NaN, a negative uncertainty, or a coefficient outside -1 to 1
 * @source JCGM 100:2008 (GUM), equation (13) and 5.1.3 note 2
 * @example
 * const quotient = propagate(([v, i]) => [v / i], [{ value: 5, u: 0.01 }, { value: 0.02, u: 0.0001 }]);
 * quotient.u[0] // ≈ 1.346
 */
export function propagate(model: Model, inputs: readonly ModelInput[], options: Correlated = {}): Propagated {
  const centre = centreOf(inputs);
  const values = model(centre);
  const shares = inputs.map(({ value, u }, i) => {
    if (u === 0) return values.map(() => 0);
    const up = model(centre.with(i, value + u));
    const down = model(centre.with(i, value - u));
    return values.map((_, k) => ((up[k] as number) - (down[k] as number)) / 2);
  });
  const covariance = values.map((_, a) =>
    values.map((__, b) => {
      let sum = 0;
      shares.forEach((left, i) => {
        shares.forEach((right, j) => {
          sum += (left[a] as number) * (right[b] as number) * coefficient(options.correlation, i, j);
        });
      });
      return sum;
    }),
  );
  return { values, covariance, u: covariance.map((row, k) => Math.sqrt(Math.max(0, row[k] as number))) };
}

/**
 * The same by Monte Carlo: inputs are drawn, the model is run, and each output is summed up.
 *
 * @param model   outputs of inputs, any units
 * @param inputs  values and standard uncertainties, in the model's units; correlated ones must be normal
 * @param options seeded source, how many draws (100 to 10,000,000), correlation coefficients [1]
 * @throws `E_DOMAIN` as `propagate`, on too few or many draws, or on a rectangular input that is correlated
 * @source JCGM 101:2008 (GUM Supplement 1), clause 7
 */
export function propagateByDraws(
  model: Model,
  inputs: readonly ModelInput[],
  options: Correlated & { readonly random: RandomSource; readonly draws: number },
): readonly DrawnQuantity[] {
  const { random, correlation } = options;
  const draws = Math.round(requireNumber(options.draws, "options.draws", "1", { from: 100, to: 1e7 }));
  const n = inputs.length;
  inputs.forEach(({ spread }, i) => {
    if (spread === "rectangular" && inputs.some((_, j) => i !== j && coefficient(correlation, i, j) !== 0)) {
      throw new BellmouthError({
        code: "E_DOMAIN",
        message: "a rectangular input cannot be correlated",
        found: `a correlation with inputs[${i}]`,
        accepted: "normal spread for correlated inputs",
        at: { path: `inputs[${i}].spread` },
      });
    }
  });
  const factor =
    correlation === undefined
      ? undefined
      : lowRankFactor(
          (i, j) => coefficient(correlation, i, j),
          inputs.map(() => 1),
          0,
        );
  const z = new Float64Array(Math.max(n, factor?.width ?? 0));
  const x = centreOf(inputs);
  const columns = model(x).map(() => new Float64Array(draws));
  for (let draw = 0; draw < draws; draw++) {
    for (let i = 0; i < z.length; i++) z[i] = random.normal();
    for (let i = 0; i < n; i++) {
      const { value, u, spread } = inputs[i] as ModelInput;
      const deviate =
        spread === "rectangular"
          ? Math.sqrt(3) * (2 * random.uniform() - 1)
          : factor === undefined
            ? (z[i] as number)
            : dot(factor.rows, factor.width, i, z, 0);
      x[i] = value + u * deviate;
    }
    const y = model(x);
    for (let k = 0; k < columns.length; k++) (columns[k] as Float64Array)[draw] = y[k] as number;
  }
  return columns.map((column) => summariseDraws(column));
}
