import { requireNumber } from "../fault/index.js";
import { type Pressure, pascals, type Temperature, ZERO_CELSIUS_K } from "../units/index.js";

/**
 * Saturation pressure of water vapour [Pa]: over liquid water from 0 °C up, over ice below.
 *
 * The Hyland–Wexler equations are used because they are one consistent set for ice and water, are what handbooks
 * of moist air tabulate, and stay within 0.02 % of the IAPWS steam tables from 0 to 100 °C.
 *
 * @param temperature [K], 173.15 to 473.15
 * @throws E_DOMAIN outside -100 to 200 °C, or NaN
 * @source R. W. Hyland, A. Wexler, ASHRAE Transactions 89(2A) (1983) 500-519.
 * @example saturationVapourPressure(celsius(20)) // ≈ 2338.8
 */
export function saturationVapourPressure(temperature: Temperature): Pressure {
  const t = requireNumber(temperature, "temperature", "K", { from: 173.15, to: 473.15 });
  const ln =
    t < ZERO_CELSIUS_K
      ? -5674.5359 / t +
        6.3925247 +
        t * (-9.677843e-3 + t * (6.2215701e-7 + t * (2.0747825e-9 - t * 9.484024e-13))) +
        4.1635019 * Math.log(t)
      : -5800.2206 / t +
        1.3914993 +
        t * (-4.8640239e-2 + t * (4.1764768e-5 - t * 1.4452093e-8)) +
        6.5459673 * Math.log(t);
  return pascals(Math.exp(ln));
}

/**
 * Saturation pressure of water vapour over liquid water [Pa] as the CIPM-2007 air density equation defines it.
 * Use it with {@link airDensityCipm2007}; for general use take {@link saturationVapourPressure}.
 *
 * @param temperature [K], 233.15 to 333.15
 * @throws E_DOMAIN outside -40 to 60 °C, or NaN
 * @source A. Picard, R. S. Davis, M. Gläser, K. Fujii, Metrologia 45 (2008) 149-155, appendix A1.1.
 * @example saturationVapourPressureCipm2007(celsius(20)) // ≈ 2339.163
 */
export function saturationVapourPressureCipm2007(temperature: Temperature): Pressure {
  const t = requireNumber(temperature, "temperature", "K", { from: 233.15, to: 333.15 });
  return pascals(Math.exp(t * (1.2378847e-5 * t - 1.9121316e-2) + 33.93711047 - 6343.1645 / t));
}

/**
 * Saturation pressure of water vapour over liquid water [Pa] by the Magnus formula: what weather stations use to
 * turn a dew point into humidity. Within 0.4 % of the steam tables from 0 to 50 °C, several percent high at 100 °C.
 *
 * @param temperature [K], 228.15 to 333.15
 * @throws E_DOMAIN outside -45 to 60 °C, or NaN
 * @source WMO-No. 8, Guide to Instruments and Methods of Observation, annex 4.B (6.112 hPa, 17.62, 243.12 °C).
 * @example saturationVapourPressureMagnus(celsius(20)) // ≈ 2332.6
 */
export function saturationVapourPressureMagnus(temperature: Temperature): Pressure {
  const t = requireNumber(temperature, "temperature", "K", { from: 228.15, to: 333.15 }) - ZERO_CELSIUS_K;
  return pascals(611.2 * Math.exp((17.62 * t) / (243.12 + t)));
}
