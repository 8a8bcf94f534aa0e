export type * from "./trial-document.js";
export { trialDocument } from "./trial-kind.js";
