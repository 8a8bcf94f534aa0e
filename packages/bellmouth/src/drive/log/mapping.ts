import { BellmouthError } from "../../fault/index.js";
import type { LogChannel } from "./channel.js";
import {
  CHANNEL_DIMENSION,
  type ColumnScale,
  columnScale,
  timeScale,
  timeUnits,
  unitsFor,
} from "./column-units.js";
import type { ColumnRef, LogLayout } from "./layout.js";
import type { SlotKind } from "./scan-plan.js";

/** Where the time of a row comes from. */
export type LogTime =
  /** A column of numbers in `s`, `ms`, `us`, `min` or `h`. */
  | { readonly column: ColumnRef; readonly unit: string }
  /** A column of `HH:MM:SS.mmm`, `MM:SS.mmm` or ISO dates with times. */
  | { readonly column: ColumnRef; readonly format: "clock" }
  /** No time column: rows are this far apart [s]. */
  | { readonly rowPeriod: number }
  /** Rows whose times are lost: in order, but at no known pace. Times of the result are row numbers. */
  | { readonly untimed: true };

/** A channel taken from one column. */
export interface MappedColumn {
  readonly channel: LogChannel;
  readonly column: ColumnRef;
  /** Unit of the column's numbers. Not used with `words`. */
  readonly unit?: string;
  /** For flags written in words: what each word stands for. */
  readonly words?: Readonly<Record<string, number>>;
}

/** A channel computed from columns, in the channel's SI unit unless `unit` says another. */
export interface DerivedChannel {
  readonly channel: LogChannel;
  readonly from: readonly ColumnRef[];
  /** Gets the columns' numbers as written, in the order of `from`; NaN stands for a missing one. The list is reused. */
  readonly evaluate: (values: readonly number[]) => number;
  readonly unit?: string;
}

/** Which column is which channel. */
export interface LogMapping {
  readonly time: LogTime;
  readonly channels: readonly (MappedColumn | DerivedChannel)[];
}

/** A mapping resolved against a layout. */
export interface ResolvedMapping {
  readonly wanted: readonly number[];
  readonly kinds: readonly SlotKind[];
  readonly time: { readonly slot: number; readonly factor: number; readonly clock: boolean } | null;
  readonly rowPeriod: number | undefined;
  readonly untimed: boolean;
  readonly channels: readonly ResolvedChannel[];
}
export interface ResolvedChannel {
  readonly channel: LogChannel;
  readonly slots: readonly number[];
  readonly scale: ColumnScale;
  readonly evaluate: ((values: readonly number[]) => number) | undefined;
  /** For messages. */
  readonly source: string;
}

const quoted = (names: readonly string[]): string => names.map((name) => `"${name}"`).join(", ");

/** Column number (from 0) that a reference means. Names must match exactly, spaces around them aside. */
export function findColumn(layout: LogLayout, ref: ColumnRef, path: string): number {
  if (typeof ref === "number") {
    if (Number.isInteger(ref) && ref >= 0 && ref < layout.columns.length) return ref;
    throw new BellmouthError({
      code: "E_COLUMN",
      message: "there is no column of this number",
      found: String(ref),
      accepted: `0 to ${layout.columns.length - 1}`,
      at: { path },
    });
  }
  const wanted = ref.trim();
  const fits = layout.columns.flatMap((column, i) => (column.name === wanted ? [i] : []));
  if (fits.length === 1) return fits[0] as number;
  if (fits.length > 1) {
    throw new BellmouthError({
      code: "E_COLUMN",
      message: `several columns are called "${wanted}"`,
      found: `columns ${fits.join(", ")}`,
      accepted: "the column's number, from 0",
      at: { path },
    });
  }
  const near = layout.columns.filter(({ name }) => name.toLowerCase() === wanted.toLowerCase());
  throw new BellmouthError({
    code: "E_COLUMN",
    message: "the log has no such column",
    found: `"${wanted.slice(0, 80)}"`,
    accepted: quoted(
      (near.length > 0 ? near : layout.columns).slice(0, 40).map(({ name }) => name.slice(0, 80)),
    ),
    at: { path },
  });
}

function scaleOf(channel: LogChannel, unit: string | undefined, path: string): ColumnScale {
  const dimension = CHANNEL_DIMENSION[channel];
  const scale = unit === undefined ? undefined : columnScale(dimension, unit);
  if (scale !== undefined) return scale;
  const ratio = /^(afr|a\/f|air.?fuel.*)$/i.test(unit ?? "");
  throw new BellmouthError({
    code: "E_UNIT",
    message: ratio
      ? "an air-fuel ratio is lambda only for a stated fuel: divide by its stoichiometric ratio in a formula"
      : `${channel} needs the unit of its column`,
    found: unit === undefined ? "none" : `"${unit}"`,
    accepted: unitsFor(dimension).join(", "),
    at: { path },
  });
}

/**
 * Resolves a mapping against a layout.
 *
 * @throws E_COLUMN for a column that is missing, repeated, or a channel mapped twice
 * @throws E_UNIT for a unit that is missing or of another dimension
 * @throws E_DOMAIN for a row period that is not positive
 */
export function resolveMapping(layout: LogLayout, mapping: LogMapping): ResolvedMapping {
  const wanted: number[] = [];
  const kinds: SlotKind[] = [];
  const slotFor = (ref: ColumnRef, kind: SlotKind, path: string): number => {
    const column = findColumn(layout, ref, path);
    const known = wanted.findIndex((w, i) => w === column && kinds[i]?.kind === kind.kind);
    if (known >= 0 && kind.kind !== "words") return known;
    if (wanted.includes(column)) {
      throw new BellmouthError({
        code: "E_COLUMN",
        message: "one column is read in two ways",
        found: `"${layout.columns[column]?.name}"`,
        accepted: "numbers, a clock or words, not two of them",
        at: { path },
      });
    }
    wanted.push(column);
    kinds.push(kind);
    return wanted.length - 1;
  };

  const { time } = mapping;
  let placed: ResolvedMapping["time"] = null;
  let rowPeriod: number | undefined;
  if ("untimed" in time) rowPeriod = 1;
  else if ("rowPeriod" in time) {
    if (!(time.rowPeriod > 0 && Number.isFinite(time.rowPeriod))) {
      throw new BellmouthError({
        code: "E_DOMAIN",
        message: "the time between rows must be positive",
        found: `${time.rowPeriod} s`,
        accepted: "> 0 s",
        at: { path: "mapping.time.rowPeriod" },
      });
    }
    rowPeriod = time.rowPeriod;
  } else if ("format" in time) {
    placed = {
      slot: slotFor(time.column, { kind: "clock" }, "mapping.time.column"),
      factor: 1,
      clock: true,
    };
  } else {
    const factor = timeScale(time.unit);
    if (factor === undefined) {
      throw new BellmouthError({
        code: "E_UNIT",
        message: "the time column needs a unit of time",
        found: `"${time.unit}"`,
        accepted: timeUnits.join(", "),
        at: { path: "mapping.time.unit" },
      });
    }
    placed = {
      slot: slotFor(time.column, { kind: "number" }, "mapping.time.column"),
      factor,
      clock: false,
    };
  }

  const seen = new Set<string>();
  const channels = mapping.channels.map((entry, i): ResolvedChannel => {
    const path = `mapping.channels[${i}]`;
    if (!Object.hasOwn(CHANNEL_DIMENSION, entry.channel)) {
      throw new BellmouthError({
        code: "E_COLUMN",
        message: "there is no such channel",
        found: `"${String(entry.channel).slice(0, 80)}"`,
        accepted: Object.keys(CHANNEL_DIMENSION).join(", "),
        at: { path: `${path}.channel` },
      });
    }
    if (seen.has(entry.channel)) {
      throw new BellmouthError({
        code: "E_COLUMN",
        message: "a channel is mapped twice",
        found: entry.channel,
        accepted: "one source for each channel",
        at: { path },
      });
    }
    seen.add(entry.channel);
    if ("from" in entry) {
      return {
        channel: entry.channel,
        slots: entry.from.map((ref, k) => slotFor(ref, { kind: "number" }, `${path}.from[${k}]`)),
        scale:
          entry.unit === undefined
            ? { factor: 1, offset: 0 }
            : scaleOf(entry.channel, entry.unit, `${path}.unit`),
        evaluate: entry.evaluate,
        source: entry.from.join(", "),
      };
    }
    const words = entry.words;
    return {
      channel: entry.channel,
      slots: [
        slotFor(
          entry.column,
          words === undefined ? { kind: "number" } : { kind: "words", words: new Map(Object.entries(words)) },
          `${path}.column`,
        ),
      ],
      scale:
        words === undefined ? scaleOf(entry.channel, entry.unit, `${path}.unit`) : { factor: 1, offset: 0 },
      evaluate: undefined,
      source: String(entry.column),
    };
  });
  return { wanted, kinds, time: placed, rowPeriod, untimed: "untimed" in time, channels };
}
