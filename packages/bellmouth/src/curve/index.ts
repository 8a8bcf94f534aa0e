export * from "./check.js";
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
export * from "./invert.js";
export * from "./isotonic.js";
export * from "./storage.js";
