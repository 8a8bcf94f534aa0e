export * from "./compare-runs.js";
export type { DriftOptions, StatedDrift, StatedSoak } from "./drift.js";
export * from "./power-of-trial.js";
export type * from "./run.js";
export type { Repeatability, UncertaintySource } from "./run-effect.js";
export * from "./run-order.js";
export { type RunsNeeded, type RunsNeededOptions, runsNeeded } from "./runs-needed.js";
export { SETTLED_COOLANT, SETTLED_INTAKE } from "./settled.js";
export type * from "./trial-result.js";
