export * from "./compare-runs.js";
export * from "./power-of-trial.js";
export type * from "./run.js";
export type { DoubtSource, Repeatability } from "./run-effect.js";
export * from "./run-order.js";
export { type RunsNeeded, type RunsNeededOptions, runsNeeded } from "./runs-needed.js";
export type * from "./trial-result.js";
