export * from "./engine-demand.js";
export * from "./fuel.js";
