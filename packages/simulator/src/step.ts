/** Step of the simulation [s]. */
export const STEP = 0.01;

/** Coolant temperature of a warm engine [K]. */
export const WARM = 363;
