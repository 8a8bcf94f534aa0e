import { BellmouthError } from "../../fault/index.js";
import {
  type Converter,
  circuitLimits,
  circuitResistance,
  circuitVoltage,
  type ElementCircuit,
  voltageOfCount,
} from "./circuit.js";
import { prepareElement } from "./element-law.js";

/** What the ECU takes for a reading of the element, and by which its table is laid out. */
export type ReadingQuantity = "voltage" | "count" | "resistance";

/** One reading quantity of a circuit, both ways. */
export interface Reading {
  readonly quantity: ReadingQuantity;
  /** reading [V], [count] or [ohm] at a temperature [K] */
  readonly of: (temperature: number) => number;
  /** temperature [K] of a reading */
  readonly temperature: (reading: number) => number;
  /** resistance of the element [ohm] at a reading */
  readonly resistance: (reading: number) => number;
  /** voltage [V] of a reading; of a resistance, the voltage it gives */
  readonly voltage: (reading: number) => number;
  /** readings with the element disconnected and shorted */
  readonly open: number;
  readonly short: number;
}

/**
 * A circuit's readings in one quantity. Counts are taken as real numbers here (a breakpoint may lie between two); the
 * middle of count c's step is c.
 *
 * @param converter needed for counts
 * @throws `E_UNIT` for counts without a converter, `E_DOMAIN`
 */
export function readingOf(
  circuit: ElementCircuit,
  quantity: ReadingQuantity,
  converter: Converter | undefined,
): Reading {
  // Prepared once: a table asks for thousands of temperatures.
  const element = prepareElement(circuit.element);
  const limits = circuitLimits(circuit);
  if (quantity === "resistance") {
    return {
      quantity,
      of: (temperature) => element.resistance(temperature),
      temperature: (reading) => element.temperature(reading),
      resistance: (reading) => reading,
      voltage: (reading) => circuitVoltage(circuit, reading),
      open: Number.MAX_VALUE,
      short: 0,
    };
  }
  let toReading = (voltage: number): number => voltage;
  let toVoltage = (reading: number): number => reading;
  if (quantity === "count") {
    if (converter === undefined) {
      throw new BellmouthError({
        code: "E_UNIT",
        message: "an axis in counts needs the converter's bits and reference",
        found: "no converter",
        accepted: "converter: { bits, reference }",
        at: { path: "converter" },
      });
    }
    const zero = voltageOfCount(converter, 0);
    const perCount = 2 * zero;
    toReading = (voltage) => (voltage - zero) / perCount;
    toVoltage = (reading) => zero + reading * perCount;
  }
  const resistance = (reading: number): number => circuitResistance(circuit, toVoltage(reading));
  return {
    quantity,
    of: (temperature) => toReading(circuitVoltage(circuit, element.resistance(temperature))),
    temperature: (reading) => element.temperature(resistance(reading)),
    resistance,
    voltage: toVoltage,
    open: toReading(limits.open),
    short: toReading(limits.short),
  };
}
