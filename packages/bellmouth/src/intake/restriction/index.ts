export * from "./budget.js";
export * from "./loss.js";
export * from "./loss-coefficient.js";
export { type NumberPair, ratioInterval } from "./ratio-interval.js";
export type * from "./restriction-budget.js";
export * from "./station-pressure.js";
export * from "./tract.js";
export * from "./verdict.js";
export * from "./what-if.js";
