import type { Viscosity } from "./quantity.js";

/** Marks a number that is already in pascal seconds [Pa s]. */
export const pascalSeconds = (value: number): Viscosity => value as Viscosity;
