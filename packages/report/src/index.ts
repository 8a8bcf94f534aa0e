export type { Figure } from "bellmouth/account";
export type { AnyResult } from "bellmouth/stage";
export { accountPage, apartFromEachOther, figuresIn, type PageOptions } from "./page.js";
export { reportFigures, reportPage, resultFigures } from "./report.js";
export { figureSvg } from "./standalone.js";
