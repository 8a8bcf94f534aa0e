// The pictures alone, for pages that bring their own frame: no Node module comes with them.
export { type BarsSpec, drawBars } from "./chart/bars.js";
export { drawChart } from "./chart/draw.js";
export type { AxisSpec, ChartSpec, Mark, Series, Tone } from "./chart/spec.js";
export { drawStack, type StackSpec } from "./chart/stack.js";
export type { Markup } from "./html.js";
export { STYLE } from "./style.js";
