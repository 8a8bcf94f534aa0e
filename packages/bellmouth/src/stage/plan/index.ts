export { isRescaled } from "./is-rescaled.js";
export { planSwap } from "./plan-swap.js";
export type * from "./result.js";
