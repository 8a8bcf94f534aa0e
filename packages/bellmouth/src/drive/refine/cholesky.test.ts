import { describe, expect, it } from "vitest";
import { choleskyFactor, choleskyInverse, choleskySolve, logDeterminant, marginalise } from "./cholesky.js";

// By hand: A = [[4,2],[2,3]], inverse [[3,-2],[-2,4]]/8, determinant 8.
const two = Float64Array.of(4, 2, 2, 3);

describe("small symmetric systems", () => {
  it("solves, inverts and takes the determinant of a 2 by 2", () => {
    const factor = choleskyFactor(two, 2)!;
    const x = choleskySolve(factor, 2, Float64Array.of(8, 7));
    expect(x[0]).toBeCloseTo(1.25, 12);
    expect(x[1]).toBeCloseTo(1.5, 12);
    const inverse = choleskyInverse(factor, 2);
    [3 / 8, -2 / 8, -2 / 8, 4 / 8].forEach((value, i) => {
      expect(inverse[i]).toBeCloseTo(value, 12);
    });
    expect(logDeterminant(factor, 2)).toBeCloseTo(Math.log(8), 12);
  });
  it("refuses what is not positive definite, NaN included", () => {
    expect(choleskyFactor(Float64Array.of(1, 2, 2, 1), 2)).toBeNull();
    expect(choleskyFactor(Float64Array.of(Number.NaN), 1)).toBeNull();
  });
  it("integrates a parameter out as the Schur complement does", () => {
    const reduced = marginalise(two, [Float64Array.of(8, 7)], 2, 1)!;
    expect(reduced.matrix[0]).toBeCloseTo(4 - (2 * 2) / 3, 12);
    expect(reduced.vectors[0]?.[0]).toBeCloseTo(8 - (2 * 7) / 3, 12);
  });
});
