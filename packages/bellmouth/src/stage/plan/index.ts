export { between, chance, exactly, figure, inUnit, limitWords, percent } from "./figures.js";
export { escapeText, planMarkdown, wasRescaled } from "./markdown.js";
export { planFiles, type ResultFile } from "./plan-files.js";
export { planSwap } from "./plan-swap.js";
export type * from "./result.js";
