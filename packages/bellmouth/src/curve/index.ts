export { checkIncreasing, type OrderBreak } from "./check.js";
export * from "./curve.js";
export {
  type BatchCounts,
  curveEvaluator,
  evaluateCurve,
  evaluateInto,
  evaluatePrepared,
  type PreparedCurve,
  prepareCurve,
} from "./evaluate.js";
export * from "./executed-error.js";
export * from "./invert.js";
export * from "./isotonic.js";
export * from "./place-breakpoints.js";
export * from "./regrid.js";
export * from "./regrid-table.js";
export * from "./resample.js";
export * from "./slope.js";
export * from "./storage.js";
export { type CurveStorage, type StoredCurve, storeCurve } from "./store-curve.js";
export * from "./table.js";
export type { CurveTarget, ErrorMeasure, TargetLine } from "./target.js";
