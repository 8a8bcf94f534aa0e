export {
  type CellHeadroom,
  chanceAbove,
  type Demand,
  type Headroom,
  type HeadroomState,
  type HeadroomThresholds,
  headroom,
  type ScenarioHeadroom,
} from "./headroom.js";
export { type IdleEnd, idleEnd, type SignalResolution } from "./idle-end.js";
export type { EngineChannel, EngineState } from "./lone-readings.js";
export { type RobustPeak, type RobustPeakOptions, robustPeak } from "./robust-peak.js";
export {
  flowAt,
  type Limit,
  type MeterLimits,
  type SignalSpan,
  signalAt,
  type UsableSignal,
  uncertaintyAt,
  usableSignal,
} from "./usable-signal.js";
