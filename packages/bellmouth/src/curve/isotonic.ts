import { requireNumber } from "../fault/index.js";
import { requireSameLength } from "./check.js";

/**
 * The never-falling list nearest to the given one in weighted squares, by pooling adjacent violators.
 *
 * @param values  any unit, finite
 * @param weights relative weights [1], > 0; equal when left out
 * @returns fitted values, in the unit of `values`
 * @throws `E_SHAPE` on unequal lengths, `E_DOMAIN` on values or weights
 * @source Ayer, Brunk, Ewing, Reid and Silverman, Ann. Math. Statist. 26 (1955) 641-647
 * @example
 * isotonic([1, 3, 2, 4])[1] // ≈ 2.5
 */
export function isotonic(values: readonly number[], weights?: readonly number[]): readonly number[] {
  if (weights !== undefined) requireSameLength(values.length, weights.length, "weights");
  const levels: { mean: number; weight: number; count: number }[] = [];
  values.forEach((value, i) => {
    requireNumber(value, `values[${i}]`, "1");
    const weight =
      weights === undefined ? 1 : requireNumber(weights[i] as number, `weights[${i}]`, "1", { over: 0 });
    let top = { mean: value, weight, count: 1 };
    for (let below = levels.at(-1); below !== undefined && !(below.mean < top.mean); below = levels.at(-1)) {
      levels.pop();
      const sum = below.weight + top.weight;
      const mean = below.mean + (top.mean - below.mean) * (top.weight / sum);
      top = { mean, weight: sum, count: below.count + top.count };
    }
    levels.push(top);
  });
  return levels.flatMap((level) => new Array<number>(level.count).fill(level.mean));
}
