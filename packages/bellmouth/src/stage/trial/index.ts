export * from "./compare-trial.js";
export { trialMarkdown } from "./markdown.js";
export { trialFiles } from "./trial-files.js";
