import type { Time } from "./quantity.js";

/** Marks a number that is already in seconds [s]. */
export const seconds = (value: number): Time => value as Time;
/** milliseconds -> [s] */
export const milliseconds = (value: number): Time => (value * 1e-3) as Time;
/** [s] -> milliseconds */
export const toMilliseconds = (value: Time): number => value / 1e-3;
/** minutes -> [s] */
export const minutes = (value: number): Time => (value * 60) as Time;
/** [s] -> minutes */
export const toMinutes = (value: Time): number => value / 60;
/** hours -> [s] */
export const hours = (value: number): Time => (value * 3600) as Time;
/** [s] -> hours */
export const toHours = (value: Time): number => value / 3600;
