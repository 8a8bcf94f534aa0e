export type { SwapCorrelation } from "./cell-budget.js";
export {
  BUDGET_COMPONENTS,
  type BudgetOptions,
  type BudgetParts,
  budgetCovariance,
  budgetParts,
  COMPONENT_CORRELATION,
  type Correlation,
  PROFILE_LENGTH,
  smoothCorrelation,
} from "./covariance.js";
export { type DrawnQuantity, summariseDraws } from "./draws.js";
export {
  type FlowReference,
  type JoinedTransfer,
  joinMeasured,
  type MeasuredPair,
  type MeasuredTransfer,
} from "./measured.js";
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
