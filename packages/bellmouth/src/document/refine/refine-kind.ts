import type * as z from "zod";
import {
  type ErrorBudget,
  makeTransferCurve,
  type SignalKind,
  type TransferCurve,
} from "../../sensor/index.js";
import { buildColumns } from "../columns-block.js";
import { type BuildContext, type DocumentKind, defineDocument } from "../document.js";
import type { AirflowTable } from "../sensor-tables.js";
import { readMeterTable } from "../sensor-tables.js";
import type { RefineDocument } from "./refine-document.js";
import { refineSchema } from "./refine-schema.js";
import { storedTable } from "./stored-table.js";

type RawRefine = z.output<ReturnType<typeof refineSchema>>;

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
  const columns = buildColumns(raw.columns, "columns", context);
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
