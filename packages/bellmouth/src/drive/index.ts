export type * from "./drive.js";
export * from "./log/index.js";
export * from "./refine/index.js";
export * from "./verify/index.js";
