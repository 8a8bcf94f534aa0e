export type * from "./swap-document.js";
export { swapDocument } from "./swap-kind.js";
