export * from "./cautions.js";
export * from "./decide/index.js";
export type { Finding } from "./markdown-parts.js";
export * from "./plan/index.js";
export * from "./refine/index.js";
export * from "./restriction/index.js";
export * from "./results/index.js";
export * from "./simulate/index.js";
export * from "./trial/index.js";
