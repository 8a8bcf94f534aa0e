import { BellmouthError, requireNumber } from "../../fault/index.js";
import { type ElementLaw, elementResistance, elementTemperature } from "./element-law.js";

/** An element in the ECU's divider: the element and one resistor between supply and ground, read between them. */
export interface ElementCircuit {
  readonly element: ElementLaw;
  /** voltage over the divider [V] */
  readonly supply: number;
  /** the ECU's own resistor [ohm] */
  readonly series: number;
  /** which end the element is on: to ground under a pull-up resistor, or to supply over a pull-down */
  readonly elementTo: "ground" | "supply";
  /** resistance of the ECU's input to ground [ohm]; left out where it draws nothing that matters */
  readonly load?: number;
}

/** Analogue-to-digital converter: count c stands for voltages from c to c + 1 steps of reference / 2^bits. */
export interface Converter {
  readonly bits: number;
  /** [V] */
  readonly reference: number;
}

function checked(circuit: ElementCircuit): ElementCircuit {
  requireNumber(circuit.supply, "circuit.supply", "V", { over: 0 });
  requireNumber(circuit.series, "circuit.series", "ohm", { over: 0 });
  if (circuit.load !== undefined) requireNumber(circuit.load, "circuit.load", "ohm", { over: 0 });
  return circuit;
}

/** Conductance of the input's load [1/ohm]. */
const loading = ({ load }: ElementCircuit): number => (load === undefined ? 0 : 1 / load);

/**
 * Voltage that the ECU sees for a resistance of the element [V].
 *
 * @param circuit    the divider
 * @param resistance [ohm], >= 0; infinite for an element that is not connected
 * @throws `E_DOMAIN`
 * @example
 * const element: ElementLaw = { law: "beta", beta: 3950, r0: 10000, t0: 298.15 };
 * circuitVoltage({ element, supply: 5, series: 2490, elementTo: "ground" }, 3000) // ≈ 2.73224
 */
export function circuitVoltage(circuit: ElementCircuit, resistance: number): number {
  const { supply, series, elementTo } = checked(circuit);
  if (resistance !== Number.POSITIVE_INFINITY) requireNumber(resistance, "resistance", "ohm", { from: 0 });
  const own = 1 / series;
  if (resistance === 0) return elementTo === "ground" ? 0 : supply;
  const element = 1 / resistance;
  const up = elementTo === "ground" ? own : element;
  return (supply * up) / (own + element + loading(circuit));
}

/**
 * Resistance of the element that gives a voltage [ohm]: the inverse of `circuitVoltage`.
 *
 * @param voltage [V], strictly between those of a shorted and of a disconnected element
 * @throws `E_OUTSIDE` outside those, `E_DOMAIN` on NaN
 */
export function circuitResistance(circuit: ElementCircuit, voltage: number): number {
  const { supply, series, elementTo } = checked(circuit);
  requireNumber(voltage, "voltage", "V");
  const own = 1 / series;
  const conductance =
    elementTo === "ground"
      ? (supply * own) / voltage - own - loading(circuit)
      : ((own + loading(circuit)) * voltage) / (supply - voltage);
  if (conductance > 0 && Number.isFinite(conductance)) return 1 / conductance;
  const { open, short } = circuitLimits(circuit);
  throw new BellmouthError({
    code: "E_OUTSIDE",
    message: "no resistance of the element gives this voltage",
    found: `${voltage} V`,
    accepted: `between ${Math.min(open, short)} V and ${Math.max(open, short)} V (${short} V shorted, ${open} V not connected)`,
    at: { path: "voltage" },
  });
}

/** Voltages with the element disconnected and shorted [V]. */
export function circuitLimits(circuit: ElementCircuit): { readonly open: number; readonly short: number } {
  return { open: circuitVoltage(circuit, Number.POSITIVE_INFINITY), short: circuitVoltage(circuit, 0) };
}

/**
 * Voltage at an air temperature [V].
 *
 * @param temperature [K]
 * @throws `E_DOMAIN` where the element's law does not hold
 */
export const voltageAt = (circuit: ElementCircuit, temperature: number): number =>
  circuitVoltage(circuit, elementResistance(circuit.element, temperature));

/**
 * Air temperature that a voltage means [K].
 *
 * @param voltage [V]
 * @throws `E_OUTSIDE` beyond an open or shorted element, `E_DOMAIN` where the element's law does not hold
 */
export const temperatureAt = (circuit: ElementCircuit, voltage: number): number =>
  elementTemperature(circuit.element, circuitResistance(circuit, voltage));

function steps({ bits, reference }: Converter): number {
  requireNumber(reference, "converter.reference", "V", { over: 0 });
  if (!(Number.isInteger(bits) && bits >= 1 && bits <= 32)) {
    throw new BellmouthError({
      code: "E_DOMAIN",
      message: "a converter has a whole number of bits",
      found: String(bits),
      accepted: "1 to 32",
      at: { path: "converter.bits" },
    });
  }
  return 2 ** bits;
}

/**
 * Count of a converter for a voltage [1]: whole, and held at the ends of its range.
 *
 * @param voltage [V]
 * @throws `E_DOMAIN`
 * @example
 * countOf({ bits: 10, reference: 5 }, 2.5) // ≈ 512
 */
export function countOf(converter: Converter, voltage: number): number {
  const n = steps(converter);
  requireNumber(voltage, "voltage", "V");
  return Math.min(Math.max(Math.floor((voltage / converter.reference) * n), 0), n - 1);
}

/**
 * Voltage in the middle of a count's step [V]; for a table's breakpoint, which may lie between counts, likewise.
 *
 * @param count [1]; 0 to 2^bits - 1
 * @throws `E_DOMAIN`
 */
export function voltageOfCount(converter: Converter, count: number): number {
  const n = steps(converter);
  requireNumber(count, "count", "1", { from: 0, to: n - 1 });
  return ((count + 0.5) / n) * converter.reference;
}
