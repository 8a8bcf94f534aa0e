export {
  type BoreChoice,
  type BoreLimit,
  type BoreLimits,
  chooseBore,
  DROP_CHANCE,
  type JudgedBore,
} from "./choose-bore.js";
export { type HousingLoss, housingDrop, housingMach, openAreaUncertainty } from "./housing-drop.js";
export {
  type BoreSweep,
  type SweptBore,
  type SweptDemand,
  type SweptIdle,
  sweepBores,
} from "./sweep-bores.js";
