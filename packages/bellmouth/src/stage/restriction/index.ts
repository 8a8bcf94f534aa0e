export * from "./measure-restriction.js";
export type { RestrictionResult } from "./result.js";
