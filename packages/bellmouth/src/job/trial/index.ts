export * from "./compare-trial.js";
export { trialMarkdown } from "./markdown.js";
export type * from "./trial-document.js";
export { trialFiles } from "./trial-files.js";
export { trialDocument } from "./trial-kind.js";
