export type * from "./drive.js";
export * from "./log/index.js";
