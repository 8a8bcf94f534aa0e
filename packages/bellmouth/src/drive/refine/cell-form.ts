import { type RefineSums, suspects } from "./types.js";

/** The part of the sums that is about the cells alone: suspects absent. */
export function cellForm(sums: RefineSums): { readonly matrix: Float64Array; readonly vector: Float64Array } {
  const cells = sums.table.flow.length;
  const size = cells + suspects.length;
  const matrix = new Float64Array(cells * cells);
  for (let r = 0; r < cells; r++)
    for (let c = 0; c < cells; c++) matrix[r * cells + c] = sums.matrix[r * size + c]!;
  return { matrix, vector: Float64Array.from(sums.vector.slice(0, cells)) };
}
