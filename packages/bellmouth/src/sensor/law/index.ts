export * from "./choose-law.js";
export * from "./evaluate-law.js";
export * from "./extend-by-law.js";
export * from "./extend-transfer-curve.js";
export { type FitLawOptions, fitTransferLaw } from "./fit-law.js";
export * from "./heated-wire.js";
export type { LawCurve, LawForm } from "./law-curve.js";
export { logFlow } from "./law-curve.js";
export * from "./transfer-law.js";
