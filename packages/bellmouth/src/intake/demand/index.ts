export * from "./engine-demand.js";
export * from "./fuel.js";
export * from "./pull-efficiency.js";
