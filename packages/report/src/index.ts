export type { Figure } from "./figure.js";
export { type AnyResult, reportPage, resultFigures } from "./report.js";
export { figureSvg } from "./standalone.js";
