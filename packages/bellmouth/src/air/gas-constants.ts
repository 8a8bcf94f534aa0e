/**
 * Specific gas constant of dry air [J/(kg K)].
 *
 * @source ISO 2533:1975 and U.S. Standard Atmosphere 1976: 8314.32 / 28.964420.
 */
export const DRY_AIR_GAS_CONSTANT = 287.05287;
/**
 * Specific gas constant of water vapour [J/(kg K)].
 *
 * @source CODATA 2018 molar gas constant over the molar mass of water used by IAPWS: 8314.462618 / 18.015268.
 */
export const WATER_VAPOUR_GAS_CONSTANT = 461.523;
/**
 * Ratio of specific heats of air [1], taken as constant: it falls only to 1.398 at 400 K.
 *
 * @source ISO 2533:1975; NACA Report 1135 (1953).
 */
export const AIR_HEAT_CAPACITY_RATIO = 1.4;
/** One standard atmosphere [Pa]. @source ISO 2533:1975. */
export const STANDARD_PRESSURE_PA = 101325;
