export { restrictionMarkdown } from "./markdown.js";
export * from "./measure-restriction.js";
export { restrictionFiles } from "./restriction-files.js";
export type { RestrictionResult } from "./result.js";
