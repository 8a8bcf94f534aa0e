export * from "./compare-trial.js";
export type { TrialOutcome } from "./result.js";
