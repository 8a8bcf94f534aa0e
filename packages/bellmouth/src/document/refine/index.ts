export type * from "./refine-document.js";
export { refineDocument } from "./refine-kind.js";
