import type { Axis } from "../../curve/index.js";
import { BellmouthError, requireNumber } from "../../fault/index.js";
import type { ElementCircuit } from "./circuit.js";
import { directTable } from "./direct-table.js";
import { inverseTable } from "./inverse-table.js";
import { type ReadingQuantity, readingOf } from "./reading.js";
import type { TemperatureTable, TemperatureTableOptions } from "./temperature-cells.js";

/**
 * Makes an ECU's intake-air-temperature table for an element in its divider: temperature over the ECU's axis of
 * voltages, counts or resistances, or (axis of temperatures) readings over temperature. The ECU joins the cells with
 * straight lines, so the cells are chosen for the lines: by the smallest largest error in kelvins over the band.
 *
 * @param circuit element and divider
 * @param axis    voltage [V], count, resistance [ohm] or temperature [K]; at least two breakpoints
 * @param options with an axis of temperatures also `values`: what the table holds
 * @throws `E_UNIT` on an axis of another quantity or counts without a converter, `E_DOMAIN` on a band that is empty or
 *   that the element's law does not cover, `E_SHAPE` when fewer than two breakpoints reach the band
 */
export function planTemperatureTable(
  circuit: ElementCircuit,
  axis: Axis,
  options: TemperatureTableOptions & { readonly values?: ReadingQuantity },
): TemperatureTable {
  const { band, converter, values } = options;
  requireNumber(band.coldest, "band.coldest", "K", { over: 0 });
  requireNumber(band.hottest, "band.hottest", "K", { over: band.coldest });
  if (axis.quantity === "temperature") {
    if (values === undefined) throw quantityFault("values", "nothing", "voltage, count or resistance");
    return inverseTable(readingOf(circuit, values, converter), circuit, axis, options);
  }
  if (axis.quantity !== "voltage" && axis.quantity !== "count" && axis.quantity !== "resistance") {
    throw quantityFault("axis.quantity", axis.quantity, "voltage, count, resistance or temperature");
  }
  return directTable(readingOf(circuit, axis.quantity, converter), circuit, axis, options);
}

const quantityFault = (path: string, found: string, accepted: string): BellmouthError =>
  new BellmouthError({
    code: "E_UNIT",
    message: "a temperature table lies over readings of the element, or holds them",
    found,
    accepted,
    at: { path },
  });
