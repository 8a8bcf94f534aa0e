export type { AnyResult } from "bellmouth/stage";
export type { Figure } from "./figure.js";
export { type PageOptions, reportFigures, reportPage, resultFigures } from "./report.js";
export { figureSvg } from "./standalone.js";
