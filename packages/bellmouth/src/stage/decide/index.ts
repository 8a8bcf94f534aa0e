export type { DecisionResult } from "./result.js";
export * from "./weigh.js";
