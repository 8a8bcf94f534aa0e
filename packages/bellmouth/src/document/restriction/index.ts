export type * from "./restriction-document.js";
export { restrictionDocument } from "./restriction-kind.js";
