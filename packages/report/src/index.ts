export { type BarsSpec, drawBars } from "./chart/bars.js";
export { drawChart } from "./chart/draw.js";
export type { AxisSpec, ChartSpec, Mark, Series, Tone } from "./chart/spec.js";
export { drawStack, type StackSpec } from "./chart/stack.js";
export type { Figure } from "./figure.js";
export type { Markup } from "./html.js";
export { type AnyResult, reportPage, resultFigures } from "./report.js";
export { figureSvg } from "./standalone.js";
export { STYLE } from "./style.js";
