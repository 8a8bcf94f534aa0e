export * from "./compare-trial.js";
export { trialMarkdown } from "./markdown.js";
export type { TrialOutcome } from "./result.js";
export { trialFiles } from "./trial-files.js";
