export { PROFILE_LENGTH, type SwapCorrelation } from "./cell-budget.js";
export {
  type HousingSwap,
  type Rescaled,
  type RescaledCell,
  rescaleTransferCurve,
  sameHousing,
} from "./rescale.js";
