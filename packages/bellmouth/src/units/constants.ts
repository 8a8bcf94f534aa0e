/**
 * Exact definitions the unit constructors are built from.
 *
 * @source NIST Special Publication 811 (2008), appendix B: pound, inch, standard gravity, horsepower and
 * conventional columns of water and mercury.
 */
export const POUND_KG = 0.45359237;
export const INCH_M = 0.0254;
export const FOOT_M = 12 * INCH_M;
export const STANDARD_GRAVITY = 9.80665;
/** Pound-force [N]. */
export const POUND_FORCE_N = POUND_KG * STANDARD_GRAVITY;
/** Pound-force per square inch [Pa]. */
export const PSI_PA = POUND_FORCE_N / (INCH_M * INCH_M);
/** Conventional inch of water [Pa]: water of 1000 kg/m^3 under standard gravity. */
export const INCH_WATER_PA = 1000 * STANDARD_GRAVITY * INCH_M;
/** Conventional millimetre of mercury [Pa]: mercury of 13,595.1 kg/m^3 under standard gravity. */
export const MM_MERCURY_PA = (13595.1 * STANDARD_GRAVITY) / 1000;
/** Conventional inch of mercury [Pa]. */
export const INCH_MERCURY_PA = MM_MERCURY_PA * 25.4;
/** Mechanical horsepower, 550 ft lbf/s [W]. */
export const HORSEPOWER_W = 550 * FOOT_M * POUND_FORCE_N;
/** Metric horsepower, 75 kgf m/s [W]. */
export const METRIC_HORSEPOWER_W = 75 * STANDARD_GRAVITY;
/** Ice point [K]. */
export const ZERO_CELSIUS_K = 273.15;
/**
 * Inch of water [Pa] where the water's density is taken at 4 °C, 999.972 kg/m^3. Within 3e-5 of the conventional inch.
 */
export const INCH_WATER_4C_PA = 999.972 * STANDARD_GRAVITY * INCH_M;
/** Inch of water [Pa] where the water's density is taken at 60 °F, 999.001 kg/m^3. 0.1 % under the conventional inch. */
export const INCH_WATER_60F_PA = 999.001 * STANDARD_GRAVITY * INCH_M;
/** Inch of mercury [Pa] where the mercury's density is taken at 60 °F, 13,556.8 kg/m^3. 0.28 % under the conventional inch. */
export const INCH_MERCURY_60F_PA = 13556.8 * STANDARD_GRAVITY * INCH_M;
/** Standard atmosphere [Pa]. */
export const ATMOSPHERE_PA = 101325;
/** Torr [Pa]: a 760th of a standard atmosphere. */
export const TORR_PA = ATMOSPHERE_PA / 760;
/** British thermal unit, International Table [J]: 1 Btu/lb is 2.326 kJ/kg. */
export const BTU_J = 2326 * POUND_KG;
