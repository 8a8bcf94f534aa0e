import {
  type CellForm,
  type ColumnScale,
  columnUnit,
  type FileLayout as LogLayout,
  ruleOf,
  unitNames,
} from "../../columns/index.js";
import { BellmouthError, type FaultDetails } from "../../fault/index.js";
import type { LogChannel } from "./channel.js";
import type { SlotKind } from "./scan-plan.js";

/** A column by name, or by place (from 0) where names repeat. */
export type ColumnRef = string | number;

/** Where the time of a row comes from. */
export type LogTime =
  /** A column of numbers in `s`, `ms`, `us`, `min` or `h`. */
  | { readonly column: ColumnRef; readonly unit: string; readonly cells?: CellForm | undefined }
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
  /** Unit of the column's numbers; `scale` says the same in numbers. Not used with `words`. */
  readonly unit?: string | undefined;
  readonly scale?: ColumnScale | undefined;
  /** How its cells are written, where they are not plain numbers. */
  readonly cells?: CellForm | undefined;
  /** For flags written in words: what each word stands for. */
  readonly words?: Readonly<Record<string, number>>;
}

/** A channel computed from columns, in the channel's SI unit unless `unit` says another. */
export interface DerivedChannel {
  readonly channel: LogChannel;
  readonly from: readonly ColumnRef[];
  /** How the cells of each are written, where they are not plain numbers. */
  readonly cells?: readonly (CellForm | undefined)[] | undefined;
  /** Gets the columns' numbers as written, in the order of `from`; NaN stands for a missing one. The list is reused. */
  readonly evaluate: (values: readonly number[]) => number;
  readonly unit?: string;
}

/** Which column is which channel. */
export interface LogMapping {
  readonly time: LogTime;
  readonly channels: readonly (MappedColumn | DerivedChannel)[];
  /** A change in this column begins another drive. */
  readonly split?: ColumnRef | undefined;
}

/** A mapping resolved against a layout. */
export interface ResolvedMapping {
  readonly wanted: readonly number[];
  readonly kinds: readonly SlotKind[];
  readonly time: { readonly slot: number; readonly factor: number; readonly clock: boolean } | null;
  readonly rowPeriod: number | undefined;
  readonly untimed: boolean;
  readonly channels: readonly ResolvedChannel[];
  readonly split: { readonly slot: number; readonly labels: Map<string, number> } | undefined;
}
export interface ResolvedChannel {
  readonly channel: LogChannel;
  readonly slots: readonly number[];
  readonly scale: ColumnScale;
  readonly evaluate: ((values: readonly number[]) => number) | undefined;
}

const quoted = (names: readonly string[]): string => names.map((name) => `"${name}"`).join(", ");
const refuse = (path: string, details: Omit<FaultDetails, "at">): never => {
  throw new BellmouthError({ ...details, at: { path } });
};

/** Column number (from 0) that a reference means. Names must match exactly, spaces around them aside. */
export function findColumn(layout: LogLayout, ref: ColumnRef, path: string): number {
  if (typeof ref === "number") {
    if (Number.isInteger(ref) && ref >= 0 && ref < layout.columns.length) return ref;
    return refuse(path, {
      code: "E_COLUMN",
      message: "there is no column of this number",
      found: String(ref),
      accepted: `0 to ${layout.columns.length - 1}`,
    });
  }
  const wanted = ref.trim();
  const fits = layout.columns.flatMap((column, i) => (column.name === wanted ? [i] : []));
  if (fits.length === 1) return fits[0] as number;
  if (fits.length > 1) {
    return refuse(path, {
      code: "E_COLUMN",
      message: `several columns are called "${wanted}"`,
      found: `columns ${fits.join(", ")}`,
      accepted: "the column's number, from 0",
    });
  }
  const near = layout.columns.filter(({ name }) => name.toLowerCase() === wanted.toLowerCase());
  return refuse(path, {
    code: "E_COLUMN",
    message: "the log has no such column",
    found: `"${wanted.slice(0, 80)}"`,
    accepted: quoted(
      (near.length > 0 ? near : layout.columns).slice(0, 40).map(({ name }) => name.slice(0, 80)),
    ),
  });
}

function scaleOf(channel: LogChannel, unit: string | undefined, path: string): ColumnScale {
  const { dimensions } = ruleOf(channel);
  // A trim of unit 1 is a fraction here: code that calls this knows which.
  const spelling = channel.endsWith("Trim") && unit === "1" ? "fraction" : unit;
  const found =
    spelling === undefined || spelling === ""
      ? undefined
      : dimensions.map((dimension) => columnUnit(dimension, spelling)).find((one) => one !== undefined);
  if (found?.scale !== undefined && found.scale !== null) return found.scale;
  return refuse(path, {
    code: "E_UNIT",
    message:
      found === undefined
        ? `${channel} needs the unit of its column`
        : found.name === "AFR"
          ? "an air-fuel ratio is lambda only for a stated fuel: its stoichiometric ratio must be known"
          : "counts need their scale",
    found: unit === undefined ? "none" : `"${unit}"`,
    accepted: dimensions.flatMap(unitNames).join(", "),
  });
}

/** Slots of the columns that are wanted: each column once, read in one way. */
function makeSlots(layout: LogLayout) {
  const wanted: number[] = [];
  const kinds: SlotKind[] = [];
  const slotFor = (ref: ColumnRef, kind: SlotKind, path: string): number => {
    const column = findColumn(layout, ref, path);
    const known = wanted.findIndex((w, i) => w === column && kinds[i]?.kind === kind.kind);
    if (known >= 0 && kind.kind !== "words") return known;
    if (wanted.includes(column)) {
      refuse(path, {
        code: "E_COLUMN",
        message: "one column is read in two ways",
        found: `"${layout.columns[column]?.name}"`,
        accepted: "numbers, a clock or words, not two of them",
      });
    }
    wanted.push(column);
    kinds.push(kind);
    return wanted.length - 1;
  };
  return { wanted, kinds, slotFor };
}
type SlotFor = ReturnType<typeof makeSlots>["slotFor"];

const cellKind = (form: CellForm | undefined): SlotKind =>
  form === undefined ? { kind: "number" } : { kind: "form", form };

function resolveTime(time: LogTime, slotFor: SlotFor): Pick<ResolvedMapping, "time" | "rowPeriod"> {
  if ("untimed" in time) return { time: null, rowPeriod: 1 };
  if ("rowPeriod" in time) {
    if (time.rowPeriod > 0 && Number.isFinite(time.rowPeriod))
      return { time: null, rowPeriod: time.rowPeriod };
    return refuse("mapping.time.rowPeriod", {
      code: "E_DOMAIN",
      message: "the time between rows must be positive",
      found: `${time.rowPeriod} s`,
      accepted: "> 0 s",
    });
  }
  if ("format" in time) {
    const slot = slotFor(time.column, { kind: "clock" }, "mapping.time.column");
    return { time: { slot, factor: 1, clock: true }, rowPeriod: undefined };
  }
  const factor = columnUnit("time", time.unit)?.scale?.factor;
  if (factor === undefined) {
    return refuse("mapping.time.unit", {
      code: "E_UNIT",
      message: "the time column needs a unit of time",
      found: `"${time.unit}"`,
      accepted: unitNames("time").join(", "),
    });
  }
  const slot = slotFor(time.column, cellKind(time.cells), "mapping.time.column");
  return { time: { slot, factor, clock: false }, rowPeriod: undefined };
}

function resolveChannel(
  entry: MappedColumn | DerivedChannel,
  path: string,
  slotFor: SlotFor,
): ResolvedChannel {
  const { channel } = entry;
  if ("from" in entry) {
    return {
      channel,
      slots: entry.from.map((ref, k) => slotFor(ref, cellKind(entry.cells?.[k]), `${path}.from[${k}]`)),
      scale:
        entry.unit === undefined ? { factor: 1, offset: 0 } : scaleOf(channel, entry.unit, `${path}.unit`),
      evaluate: entry.evaluate,
    };
  }
  const kind: SlotKind =
    entry.words === undefined
      ? cellKind(entry.cells)
      : { kind: "words", words: new Map(Object.entries(entry.words)) };
  return {
    channel,
    slots: [slotFor(entry.column, kind, `${path}.column`)],
    scale:
      entry.scale ??
      (entry.words === undefined ? scaleOf(channel, entry.unit, `${path}.unit`) : { factor: 1, offset: 0 }),
    evaluate: undefined,
  };
}

/**
 * Resolves a mapping against a layout.
 *
 * @throws E_COLUMN for a column that is missing, repeated, or a channel mapped twice
 * @throws E_UNIT for a unit that is missing or of another dimension
 * @throws E_DOMAIN for a row period that is not positive
 */
export function resolveMapping(layout: LogLayout, mapping: LogMapping): ResolvedMapping {
  const { wanted, kinds, slotFor } = makeSlots(layout);
  const placed = resolveTime(mapping.time, slotFor);
  const seen = new Set<string>();
  const channels = mapping.channels.map((entry, i): ResolvedChannel => {
    const path = `mapping.channels[${i}]`;
    if (ruleOf(entry.channel) === undefined) {
      refuse(`${path}.channel`, {
        code: "E_COLUMN",
        message: "there is no such channel",
        found: `"${String(entry.channel).slice(0, 80)}"`,
        accepted: "a channel of a log",
      });
    }
    if (seen.has(entry.channel)) {
      refuse(path, {
        code: "E_COLUMN",
        message: "a channel is mapped twice",
        found: entry.channel,
        accepted: "one source for each channel",
      });
    }
    seen.add(entry.channel);
    return resolveChannel(entry, path, slotFor);
  });
  const labels = new Map<string, number>();
  const split =
    mapping.split === undefined
      ? undefined
      : { slot: slotFor(mapping.split, { kind: "labels", labels }, "mapping.split"), labels };
  return { wanted, kinds, ...placed, untimed: "untimed" in mapping.time, channels, split };
}
