// What the tests use of ml-regression, which ships no types.
declare module "ml-regression" {
  export class SimpleLinearRegression {
    constructor(x: readonly number[], y: readonly number[]);
    readonly intercept: number;
    readonly slope: number;
  }
  /** y = A x^B */
  export class PowerRegression {
    constructor(x: readonly number[], y: readonly number[]);
    readonly A: number;
    readonly B: number;
  }
  export class PolynomialRegression {
    constructor(x: readonly number[], y: readonly number[], degree: number);
    readonly coefficients: readonly number[];
  }
}
