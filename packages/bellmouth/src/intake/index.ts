export * from "./decision/index.js";
export * from "./demand/index.js";
export type * from "./estimate.js";
export * from "./power/index.js";
export * from "./restriction/index.js";
export * from "./sweep/index.js";
export * from "./trial/index.js";
