export type { Figure } from "./figure.js";
export { type AnyResult, type PageOptions, reportFigures, reportPage, resultFigures } from "./report.js";
export { figureSvg } from "./standalone.js";
