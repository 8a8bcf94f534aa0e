export type { AnyResult } from "bellmouth/job";
export type { Figure } from "./figure.js";
export { type PageOptions, reportFigures, reportPage, resultFigures } from "./report.js";
export { figureSvg } from "./standalone.js";
