export { PROFILE_LENGTH, type SwapCorrelation } from "./cell-budget.js";
export { budgetCovariance, COMPONENT_CORRELATION, type Correlation } from "./covariance.js";
export { type DrawnQuantity, summariseDraws } from "./draws.js";
export { type DrawnCell, type MonteCarloRescaled, monteCarloRescale } from "./monte-carlo.js";
export {
  type Correlated,
  type Model,
  type ModelInput,
  type Propagated,
  propagate,
  propagateByDraws,
} from "./propagate.js";
export {
  type HousingSwap,
  type Rescaled,
  type RescaledCell,
  rescaleTransferCurve,
  sameHousing,
} from "./rescale.js";
