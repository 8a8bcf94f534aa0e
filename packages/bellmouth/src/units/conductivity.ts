import type { Conductivity } from "./quantity.js";

/** Marks a number that is already in watts per metre kelvin [W/(m K)]. */
export const wattsPerMetreKelvin = (value: number): Conductivity => value as Conductivity;
