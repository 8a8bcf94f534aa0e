import {
  type Axis,
  type RegriddedTable,
  type RegridTableOptions,
  regridTable,
  type Table,
  tableEvaluator,
} from "../../curve/index.js";
import { BellmouthError, requireNumber } from "../../fault/index.js";
import type { Converter, ElementCircuit } from "./circuit.js";
import { type ReadingQuantity, readingOf } from "./reading.js";
import type { TemperatureBand } from "./temperature-cells.js";

export interface ElementChange {
  /** element and divider that the given table stands for */
  readonly old: ElementCircuit;
  /** element and divider that the new table is for */
  readonly now: ElementCircuit;
  /** temperatures over which both elements' laws are trusted [K] */
  readonly band: TemperatureBand;
  /** needed for readings in counts */
  readonly converter?: Converter;
}

/**
 * The old element's reading at the temperature that a reading of the new element means, both in the same quantity. Past
 * the band, where no law is trusted, the map goes on straight to the readings of an open and of a shorted element, so
 * that cells which stand for a fault keep standing for it (for resistances, in proportion).
 *
 * @param quantity what is read: voltage [V], count or resistance [ohm]
 * @returns function of the new element's reading, rising
 * @throws `E_DOMAIN` when a law does not cover the band, `E_UNIT` for counts without a converter, `E_NOT_INVERTIBLE`
 *   when one element's readings rise and the other's fall with temperature
 */
export function readingTranslator(
  change: ElementChange,
  quantity: ReadingQuantity,
): (reading: number) => number {
  const { band } = change;
  requireNumber(band.coldest, "band.coldest", "K", { over: 0 });
  requireNumber(band.hottest, "band.hottest", "K", { over: band.coldest });
  const old = readingOf(change.old, quantity, change.converter);
  const now = readingOf(change.now, quantity, change.converter);
  const knot = (temperature: number): Knot => ({
    now: now.of(temperature),
    old: old.of(temperature),
    ends: [now.open, now.short],
    to: [old.open, old.short],
  });
  const [cold, hot] = [knot(band.coldest), knot(band.hottest)];
  const [low, high] = cold.now < hot.now ? [cold, hot] : [hot, cold];
  if (!(high.old > low.old)) {
    throw new BellmouthError({
      code: "E_NOT_INVERTIBLE",
      message: "the two elements' readings run against each other over temperature",
      found: `${low.old} to ${high.old} where the new element reads ${low.now} to ${high.now}`,
      accepted: "two elements on the same side of the divider, both falling or both rising with temperature",
      at: { path: "change" },
    });
  }
  return (reading) => {
    if (reading >= low.now && reading <= high.now) return old.of(now.temperature(reading));
    const end = reading < low.now ? low : high;
    if (quantity === "resistance") return (end.old * reading) / end.now;
    return towardsEnd(end, reading, end === low ? Math.min : Math.max);
  };
}

interface Knot {
  readonly now: number;
  readonly old: number;
  /** readings of the open and the shorted element, new and old */
  readonly ends: readonly number[];
  readonly to: readonly number[];
}

function towardsEnd(knot: Knot, reading: number, pick: (...values: number[]) => number): number {
  const end = pick(...knot.ends);
  const to = pick(...knot.to);
  const share = Math.min(1, (reading - knot.now) / (end - knot.now));
  return knot.old + share * (to - knot.old);
}

/**
 * A two-axis table laid out over readings of an old element (temperature over reading and flow, or a correction over
 * reading and load), made for a new element: at each temperature it says what it said before.
 *
 * @param table   the old table; the axis `over` holds voltages [V], counts or resistances [ohm] of the old element
 * @param over    which axis holds the readings
 * @param change  both elements with their dividers
 * @param on      breakpoints of the new table for that axis; the other axis stays as it is
 * @param options as `regridTable`
 * @throws `E_UNIT` when the axes are not the same kind of reading, and as `readingTranslator` and `regridTable`
 */
export function translateTable(
  table: Table,
  over: "x" | "y",
  change: ElementChange,
  on: Axis,
  options: RegridTableOptions,
): RegriddedTable {
  const quantity = table[over].quantity;
  if (
    on.quantity !== quantity ||
    (quantity !== "voltage" && quantity !== "count" && quantity !== "resistance")
  ) {
    throw new BellmouthError({
      code: "E_UNIT",
      message: "both axes must hold the same kind of reading",
      found: `${quantity} and ${on.quantity}`,
      accepted: "voltage, count or resistance, twice",
      at: { path: "on.quantity" },
    });
  }
  const translate = readingTranslator(change, quantity);
  const read = tableEvaluator(table);
  return regridTable(
    {
      kind: "surface",
      quantity: table.z.quantity,
      at: (x, y) => (over === "x" ? read(translate(x), y) : read(x, translate(y))),
    },
    over === "x" ? on : table.x,
    over === "y" ? on : table.y,
    options,
  );
}
