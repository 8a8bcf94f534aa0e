import { HORSEPOWER_W, METRIC_HORSEPOWER_W } from "./constants.js";
import type { Power } from "./quantity.js";

/** Marks a number that is already in watts [W]. */
export const watts = (value: number): Power => value as Power;
/** kilowatts -> [W] */
export const kilowatts = (value: number): Power => (value * 1e3) as Power;
/** [W] -> kilowatts */
export const toKilowatts = (value: Power): number => value / 1e3;
/** horsepower -> [W] */
export const horsepower = (value: number): Power => (value * HORSEPOWER_W) as Power;
/** [W] -> horsepower */
export const toHorsepower = (value: Power): number => value / HORSEPOWER_W;
/** metric horsepower -> [W] */
export const metricHorsepower = (value: number): Power => (value * METRIC_HORSEPOWER_W) as Power;
/** [W] -> metric horsepower */
export const toMetricHorsepower = (value: Power): number => value / METRIC_HORSEPOWER_W;
