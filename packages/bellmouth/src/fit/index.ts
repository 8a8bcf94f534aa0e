export * from "./chebyshev.js";
export type { NonlinearProblem } from "./damped-step.js";
export * from "./distributions.js";
export * from "./linear-least-squares.js";
export * from "./nonlinear-least-squares.js";
export * from "./random.js";
export * from "./special-functions.js";
export type { Rows } from "./triangle.js";
