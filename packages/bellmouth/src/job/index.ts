export { didYouMean, nearest, shown } from "./nearest.js";
export * from "./quantity-text.js";
export type { Dimension, DimensionTypes } from "./unit-list.js";
export { SI_UNITS, unitSpellings, unitsFor } from "./unit-list.js";
export * from "./unit-scale.js";
