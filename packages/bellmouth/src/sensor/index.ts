export type * from "./housing.js";
export * from "./transfer-curve.js";
