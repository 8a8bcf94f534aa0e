import { type ElementCircuit, temperatureAt, voltageAt } from "./circuit.js";

/**
 * True air temperature [K] when an ECU that is still calibrated for the old element shows a temperature while the new
 * element is connected: 'this reading from the new element means that temperature'.
 *
 * @param shown what the ECU shows [K]
 * @param old   element and divider that the ECU's table stands for
 * @param now   element and divider that are connected
 * @throws `E_OUTSIDE`, `E_DOMAIN` as `voltageAt` and `temperatureAt`
 */
export const translateReading = (shown: number, old: ElementCircuit, now: ElementCircuit): number =>
  temperatureAt(now, voltageAt(old, shown));

/**
 * What that ECU shows [K] at a true air temperature: the inverse of `translateReading`.
 *
 * @param actual true temperature [K]
 * @throws as `translateReading`
 */
export const shownReading = (actual: number, old: ElementCircuit, now: ElementCircuit): number =>
  temperatureAt(old, voltageAt(now, actual));
