import type * as z from "zod";
import { CHANNEL_DIMENSION, type LogChannel, timeUnits, unitsFor } from "../../drive/index.js";
import {
  type ErrorBudget,
  makeTransferCurve,
  type SignalKind,
  type TransferCurve,
} from "../../sensor/index.js";
import { shown } from "../../text/index.js";
import { type BuildContext, type DocumentKind, defineDocument } from "../document.js";
import type { AirflowTable } from "../sensor-tables.js";
import { readMeterTable } from "../sensor-tables.js";
import { CHANNEL_KEYS, type ChannelKey } from "./channel-names.js";
import type { ColumnSource, RefineDocument, TimeSource } from "./refine-document.js";
import { refineSchema } from "./refine-schema.js";
import { storedTable } from "./stored-table.js";

type RawRefine = z.output<ReturnType<typeof refineSchema>>;
type RawColumn = NonNullable<NonNullable<RawRefine["columns"]>["lambda"]>;

/** `bellmouth: refine 1`, the document of a refinement from drives. */
export const refineDocument: DocumentKind<RefineDocument> = defineDocument({
  name: "refine",
  version: 1,
  about: "A table corrected from logs of drives made with it.",
  schema: refineSchema,
  build: buildRefine,
});

/** Largest change of a cell in one pass [1] when the document says none. */
const usualLargestChange = 0.2;

function buildRefine(raw: RawRefine, context: BuildContext): RefineDocument | undefined {
  const table = buildTable(raw, context);
  const columns = buildColumns(raw, context);
  const old = raw["present-meter"];
  const oldCurve =
    old === undefined
      ? null
      : context.attempt("present-meter.table", () =>
          plainCurve(
            readMeterTable(context.open(old.table), old.signal, { file: context.nameOf(old.table) }),
            old.uncertainty.value,
            raw.outside,
          ),
        );
  if (table === undefined || columns === undefined || oldCurve === undefined) return undefined;
  return {
    kind: "refine",
    title: raw.title,
    ...table,
    logs: raw.logs,
    columns,
    untimed: raw.rows === "untimed",
    trimsOff: raw.trims === "off",
    oldMeter: oldCurve === null || old === undefined ? null : { curve: oldCurve, logs: old.logs },
    largestChange: raw["largest-change"]?.value ?? usualLargestChange,
  };
}

function buildTable(
  raw: RawRefine,
  context: BuildContext,
): Pick<RefineDocument, "curve" | "prior" | "units"> | undefined {
  const { plan, refined, file, signal, uncertainty } = raw.table;
  if (plan !== undefined)
    return context.attempt("table.plan", () =>
      storedTable(context.open(plan), "plan", raw.outside, context.nameOf(plan)),
    );
  if (refined !== undefined)
    return context.attempt("table.refined", () =>
      storedTable(context.open(refined), "refine", raw.outside, context.nameOf(refined)),
    );
  if (file === undefined || signal === undefined || uncertainty === undefined) return undefined;
  return context.attempt("table.file", () => {
    const table = readMeterTable(context.open(file), signal, { file: context.nameOf(file) });
    return { curve: plainCurve(table, uncertainty.value, raw.outside), prior: null, units: table.units };
  });
}

/** A bare table with one figure of uncertainty: shares common to all cells and smooth over flow, equal in variance. */
function plainCurve(table: AirflowTable, u: number, outside: "hold" | "extend"): TransferCurve {
  const part = u / Math.SQRT2;
  const budget: ErrorBudget = { bore: part, profile: part };
  return makeTransferCurve({
    signal: table.signalKind as SignalKind,
    cells: table.signal.map((signal, i) => ({
      signal,
      flow: table.flow[i] as number,
      origin: "measured" as const,
      budget,
      flags: [],
    })),
    outside,
  });
}

function buildColumns(raw: RawRefine, context: BuildContext): RefineDocument["columns"] | undefined {
  const { columns } = raw;
  if (columns === undefined) return null;
  const { time, ...rest } = columns;
  const channels: { [channel in LogChannel]?: ColumnSource } = {};
  let sound = true;
  for (const [key, value] of Object.entries(rest) as [ChannelKey, RawColumn | undefined][]) {
    if (value === undefined) continue;
    const channel = CHANNEL_KEYS[key];
    const source = columnSource(value);
    const units = unitsFor(CHANNEL_DIMENSION[channel]);
    if (source === undefined || ("unit" in source && !fits(source.unit, units))) {
      sound = false;
      wrongUnit(
        `columns.${key}`,
        source === undefined ? undefined : (source as { unit: string }).unit,
        units,
        context,
      );
    } else channels[channel] = source;
  }
  let at: TimeSource | null = null;
  if (time !== undefined) {
    const source = typeof time === "string" ? splitUnit(time) : time;
    if (source === undefined || (source.unit !== "clock" && !fits(source.unit, timeUnits))) {
      sound = false;
      wrongUnit("columns.time", source?.unit, [...timeUnits, "clock"], context);
    } else at = source.unit === "clock" ? { column: source.column, clock: true } : source;
  }
  return sound ? { time: at, channels } : undefined;
}

const fits = (unit: string, units: readonly string[]): boolean =>
  units.some((one) => one.toLowerCase() === unit.trim().toLowerCase());

function wrongUnit(
  path: string,
  unit: string | undefined,
  units: readonly string[],
  context: BuildContext,
): void {
  context.fault(path, {
    code: "E_UNIT",
    message:
      unit === undefined
        ? "a column needs the unit of its numbers, in brackets after its name"
        : /^(afr|a\/f|air.?fuel)/iu.test(unit)
          ? "an air-fuel ratio is lambda only for a stated fuel: divide by its stoichiometric ratio, as in { formula: afr / 14.7, names: { afr: Wideband AFR } }"
          : "not a unit that a log has this column in",
    ...(unit === undefined ? {} : { found: `'${shown(unit)}'` }),
    accepted: units.join(", "),
  });
}

function columnSource(value: RawColumn): ColumnSource | undefined {
  if (typeof value !== "string") return value;
  return splitUnit(value);
}

/** `MAF [Hz]` -> column and unit. */
function splitUnit(text: string): { readonly column: string; readonly unit: string } | undefined {
  const match = /^(?<column>.*\S)\s*\[(?<unit>[^\][]+)\]\s*$/u.exec(text);
  if (match?.groups === undefined) return undefined;
  return { column: (match.groups["column"] as string).trim(), unit: (match.groups["unit"] as string).trim() };
}
