export { restrictionMarkdown } from "./markdown.js";
export * from "./measure-restriction.js";
export type * from "./restriction-document.js";
export { restrictionFiles } from "./restriction-files.js";
export { restrictionDocument } from "./restriction-kind.js";
