// The face: what a rescaling, its headroom and its checks need, in one light import (docs/decisions/0004-face.md). Named
// one by one, so that a new export of a room weighs nothing here until somebody decides that it should.
// Fits, Monte Carlo, temperature tables, regridding, trials, logs, documents and the rarer units live in the rooms:
// bellmouth/units, /air, /fit, /curve, /sensor, /intake, /drive, /text, /document, /stage, /account.
export { airDensity, type MoistAir } from "./air/moist-air.js";
export { airViscosity } from "./air/transport.js";
export {
  type Axis,
  type AxisQuantity,
  type Between,
  type Curve,
  makeCurve,
  type Outside,
} from "./curve/curve.js";
export {
  type BatchCounts,
  curveEvaluator,
  evaluateCurve,
  evaluateInto,
  type PreparedCurve,
  prepareCurve,
} from "./curve/evaluate.js";
export { invertCurve } from "./curve/invert.js";
export * from "./fault/bellmouth-error.js";
export * from "./fault/require.js";
export { type DemandingEngine, type EngineDemand, engineDemand } from "./intake/demand/engine-demand.js";
export {
  type CellHeadroom,
  type Demand,
  type Headroom,
  type HeadroomState,
  type HeadroomThresholds,
  headroom,
  type IdleEnd,
  idleEnd,
  type Limit,
  type MeterLimits,
  type ScenarioHeadroom,
  type SignalResolution,
  type SignalSpan,
  type UsableSignal,
  uncertaintyAt,
  usableSignal,
} from "./sensor/headroom/index.js";
export {
  checkHousing,
  type DuctSection,
  type Housing,
  housingReynolds,
  hydraulicDiameter,
  openArea,
  sectionArea,
  type Uncertain,
  type Upstream,
} from "./sensor/housing.js";
export type { EntryFlow } from "./sensor/profile/entry.js";
export { profileFactor, type Span } from "./sensor/profile/factor.js";
export type { SwapCorrelation } from "./sensor/rescale/cell-budget.js";
export {
  type HousingSwap,
  type Rescaled,
  type RescaledCell,
  rescaleTransferCurve,
  sameHousing,
} from "./sensor/rescale/rescale.js";
export {
  biasRich,
  type ExecutedTable,
  type InspectOptions,
  inspectTable,
  type RichBias,
  type TableFinding,
  type TableInspection,
} from "./sensor/safety/index.js";
export {
  type Converter,
  type ElementCircuit,
  temperatureAt,
  voltageAt,
} from "./sensor/thermistor/circuit.js";
export type { ElementLaw } from "./sensor/thermistor/element-law.js";
export { translateReading } from "./sensor/thermistor/translate-reading.js";
export {
  asCurve,
  type BudgetComponent,
  type CellFlag,
  type CellOrigin,
  combinedUncertainty,
  type ErrorBudget,
  makeTransferCurve,
  mergeBudgets,
  type SignalKind,
  type TransferCell,
  type TransferCurve,
} from "./sensor/transfer-curve.js";
export { mm2, squareMetres, toMm2 } from "./units/area.js";
export { kilogramsPerCubicMetre } from "./units/density.js";
export { hertz } from "./units/frequency.js";
export { inches, metres, mm, toInches, toMm } from "./units/length.js";
export {
  gramsPerSecond,
  kilogramsPerHour,
  kilogramsPerSecond,
  poundsPerMinute,
  toGramsPerSecond,
  toKilogramsPerHour,
  toPoundsPerMinute,
} from "./units/mass-flow.js";
export { horsepower, kilowatts, toHorsepower, toKilowatts, watts } from "./units/power.js";
export { inHgAbsolute, kilopascals, millibars, pascals, psia, toKilopascals } from "./units/pressure.js";
export {
  inH2O,
  inHg,
  kilopascalsDifference,
  pascalsDifference,
  psi,
  toInH2O,
  toInHg,
  toKilopascalsDifference,
  toPsi,
} from "./units/pressure-difference.js";
export type * from "./units/quantity.js";
export { kiloohms, ohms } from "./units/resistance.js";
export { revsPerSecond, rpm, toRpm } from "./units/rotational-speed.js";
export { celsius, fahrenheit, kelvins, toCelsius, toFahrenheit } from "./units/temperature.js";
export { kelvinsDifference } from "./units/temperature-difference.js";
export { seconds } from "./units/time.js";
export { pascalSeconds } from "./units/viscosity.js";
export { millivolts, volts } from "./units/voltage.js";
export { cm3, cubicMetres, litres } from "./units/volume.js";
export { cubicFeetPerMinute, cubicMetresPerSecond, toCubicFeetPerMinute } from "./units/volume-flow.js";
