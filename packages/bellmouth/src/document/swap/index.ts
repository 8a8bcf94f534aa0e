export type { Day, EngineDemand, Idle, Scenario } from "./demand.js";
export type { Axis, Capture, CaptureResolution, EcuAirflow } from "./ecu-airflow.js";
export type { EcuTemperature, ElementSignal } from "./ecu-temperature.js";
export type { TemperatureElement } from "./element.js";
export type { Meter, NewMeter } from "./meters.js";
export type { SignalSpan } from "./signal.js";
export { type SwapDocument, swapDocument } from "./swap-document.js";
export type { BoreSweep, MeterLoss } from "./sweep.js";
export type { Transfer } from "./transfer.js";
