import { type Converter, circuitResistance, type ElementCircuit } from "./circuit.js";
import { elementSlope } from "./element-law.js";
import type { Reading } from "./reading.js";
import { fitUncertainty, type ThermistorFit } from "./thermistor-fit.js";

/** Standard uncertainties of the parts; what is left out stays out of the budget, so name all that is known. */
export interface TemperatureTolerances {
  /** of the element's resistance, relative [1]: a tolerance of ±3 % taken as rectangular is 0.03 / sqrt(3) */
  readonly element?: number;
  /** of the element's temperature itself [K]: interchangeability, self-heating, mounting */
  readonly kelvin?: number;
  /** of the divider's resistor, relative [1] */
  readonly series?: number;
  /** the fit that the element's law comes from */
  readonly fit?: ThermistorFit;
}

/** Standard uncertainty of a temperature cell [K] by component; components combine in quadrature. */
export interface TemperatureBudget {
  readonly element?: number;
  readonly fit?: number;
  readonly resistor?: number;
  readonly converter?: number;
  /** straight lines against the element's law: the largest error around the cell, taken as rectangular */
  readonly regrid?: number;
  readonly storage?: number;
  /** past the band: how far the table's value is from the element's own temperature there */
  readonly beyond?: number;
}

/**
 * How far a value is from the temperature that an element has at a reading past the band [K]; the width of the band
 * where the reading is that of a fault, at which the element has none.
 */
export function beyondBand(reading: Reading, at: number, value: number, width: number): number {
  const [low, high] = [Math.min(reading.open, reading.short), Math.max(reading.open, reading.short)];
  const own = at > low && at < high ? reading.temperature(at) : Number.NaN;
  return own > 0 && Number.isFinite(own) ? Math.abs(value - own) : width;
}

/** Combined standard uncertainty [K]: root of the sum of squares of a budget's components. */
export const combinedKelvin = (budget: TemperatureBudget): number =>
  Math.hypot(...Object.values(budget).map((part: number | undefined) => part ?? 0));

/**
 * Budget of a cell at a reading.
 *
 * @param lines largest error of the unstored straight lines around the cell [K]
 * @param step  step of the values' storage [K]
 */
export function temperatureBudget(
  reading: Reading,
  circuit: ElementCircuit,
  at: number,
  options: { readonly tolerances: TemperatureTolerances; readonly converter?: Converter },
  { lines, step }: { readonly lines: number; readonly step: number },
): TemperatureBudget {
  const { tolerances, converter } = options;
  const resistance = reading.resistance(at);
  const slope = Math.abs(elementSlope(circuit.element, resistance));
  const { element, kelvin, series, fit } = tolerances;
  const fitted = fit === undefined ? null : fitUncertainty(fit, resistance);
  return {
    ...(element === undefined && kelvin === undefined
      ? {}
      : { element: Math.hypot(slope * (element ?? 0), kelvin ?? 0) }),
    ...(fitted === null ? {} : { fit: fitted }),
    ...(series === undefined || reading.quantity === "resistance"
      ? {}
      : { resistor: slope * seriesGain(circuit, reading.voltage(at)) * series }),
    ...(converter === undefined || reading.quantity === "resistance"
      ? {}
      : { converter: converterShare(reading, at, converter) }),
    regrid: lines / Math.sqrt(3),
    ...(step > 0 ? { storage: step / Math.sqrt(12) } : {}),
  };
}

/** |d ln R / d ln series| of the element's resistance read from one voltage; 1 without a load. */
function seriesGain(circuit: ElementCircuit, voltage: number): number {
  const h = 1e-4;
  const at = (factor: number): number =>
    Math.log(circuitResistance({ ...circuit, series: circuit.series * factor }, voltage));
  return Math.abs((at(1 + h) - at(1 - h)) / (2 * h));
}

/** Standard deviation of a count's step, as a temperature. */
function converterShare(reading: Reading, at: number, { bits, reference }: Converter): number {
  const step = reading.quantity === "count" ? 1 : reference / 2 ** bits;
  const toOpen = at + step < Math.max(reading.open, reading.short) ? step : -step;
  return Math.abs(reading.temperature(at + toOpen / 2) - reading.temperature(at)) * 2 * Math.sqrt(1 / 12);
}
