// The pictures alone, for pages that bring their own frame.
export type { AxisSpec, BarsSpec, ChartSpec, Mark, Series, StackSpec, Tone } from "bellmouth/account";
export { drawBars } from "./chart/bars.js";
export { drawChart } from "./chart/draw.js";
export type { Width } from "./chart/frame.js";
export { drawStack } from "./chart/stack.js";
export type { Names } from "./chart/svg.js";
export type { Markup } from "./html.js";
export { STYLE } from "./style.js";
