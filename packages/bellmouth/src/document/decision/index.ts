export type * from "./decision-document.js";
export { decisionDocument } from "./decision-kind.js";
