import { FOOT_M } from "./constants.js";
import type { VolumeFlow } from "./quantity.js";

/** Marks a number that is already in cubic metres per second [m^3/s]. */
export const cubicMetresPerSecond = (value: number): VolumeFlow => value as VolumeFlow;
/** litres per minute -> [m^3/s] */
export const litresPerMinute = (value: number): VolumeFlow => (value * (1e-3 / 60)) as VolumeFlow;
/** [m^3/s] -> litres per minute */
export const toLitresPerMinute = (value: VolumeFlow): number => value / (1e-3 / 60);
/** cubic metres per hour -> [m^3/s] */
export const cubicMetresPerHour = (value: number): VolumeFlow => (value * (1 / 3600)) as VolumeFlow;
/** [m^3/s] -> cubic metres per hour */
export const toCubicMetresPerHour = (value: VolumeFlow): number => value / (1 / 3600);
/** cubic feet per minute -> [m^3/s] */
export const cubicFeetPerMinute = (value: number): VolumeFlow =>
  (value * ((FOOT_M * FOOT_M * FOOT_M) / 60)) as VolumeFlow;
/** [m^3/s] -> cubic feet per minute */
export const toCubicFeetPerMinute = (value: VolumeFlow): number => value / ((FOOT_M * FOOT_M * FOOT_M) / 60);
/** litres per second -> [m^3/s] */
export const litresPerSecond = (value: number): VolumeFlow => (value * 1e-3) as VolumeFlow;
/** [m^3/s] -> litres per second */
export const toLitresPerSecond = (value: VolumeFlow): number => value / 1e-3;
