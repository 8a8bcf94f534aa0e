import * as z from "zod";
import { BellmouthError } from "../../fault/index.js";
import { type BudgetComponent, makeTransferCurve } from "../../sensor/index.js";
import type { RefineDocument } from "./refine-document.js";

const cell = z.object({
  signal: z.number(),
  flow: z.number(),
  origin: z.enum(["measured", "rescaled", "fitted", "extrapolated", "refined"]),
  budget: z.partialRecord(
    z.enum([
      "bore",
      "blockage",
      "profile",
      "installation",
      "element",
      "law",
      "regrid",
      "storage",
      "refinement",
    ] satisfies readonly BudgetComponent[]),
    z.number().min(0),
  ),
  flags: z.array(z.string()),
});

const planShape = () =>
  z.object({
    bellmouth: z.literal("plan 1"),
    signal: z.enum(["frequency", "voltage"]),
    units: z.object({ flow: z.string(), signal: z.string() }),
    airflow: z.object({ cells: z.array(cell).min(2) }),
  });

const refineShape = () =>
  z.object({
    bellmouth: z.literal("refine 1"),
    units: z.object({ flow: z.string(), signal: z.string() }),
    refinement: z.object({
      curve: z.object({ signal: z.enum(["frequency", "voltage"]), cells: z.array(cell).min(2) }),
      knowledge: z.object({
        signal: z.array(z.number()).min(2),
        flow: z.array(z.number().positive()),
        covariance: z.array(z.number()),
      }),
    }),
  });

/**
 * Table and error budget out of a stored result of ours.
 *
 * @param text `plan.json` or `refine.json`
 * @throws `E_SCHEMA` when it is not such a result
 */
export function storedTable(
  text: string,
  kind: "plan" | "refine",
  outside: "hold" | "extend",
  file: string,
): Pick<RefineDocument, "curve" | "prior" | "units"> {
  let data: unknown;
  try {
    data = JSON.parse(text);
  } catch {
    data = undefined;
  }
  const wrong = (): BellmouthError =>
    new BellmouthError({
      code: "E_SCHEMA",
      message: `this is not the data of a ${kind === "plan" ? "plan" : "refinement"}`,
      accepted:
        kind === "plan"
          ? "the plan.json that `plan --out` writes"
          : "the refine.json that `refine --out` writes",
      at: { file },
    });
  if (kind === "plan") {
    const read = planShape().safeParse(data);
    if (!read.success) throw wrong();
    return {
      curve: makeTransferCurve({
        signal: read.data.signal,
        cells: read.data.airflow.cells.map(plainCell),
        outside,
      }),
      prior: null,
      units: read.data.units,
    };
  }
  const read = refineShape().safeParse(data);
  if (!read.success) throw wrong();
  const { curve, knowledge } = read.data.refinement;
  const knots = knowledge.signal.length;
  if (knowledge.flow.length !== knots || knowledge.covariance.length !== (knots * (knots + 1)) / 2)
    throw wrong();
  return {
    curve: makeTransferCurve({ signal: curve.signal, cells: curve.cells.map(plainCell), outside }),
    prior: knowledge,
    units: read.data.units,
  };
}

type Cells = Parameters<typeof makeTransferCurve>[0]["cells"];

const plainCell = (read: z.output<typeof cell>): Cells[number] => ({
  signal: read.signal,
  flow: read.flow,
  origin: read.origin,
  budget: read.budget as Cells[number]["budget"],
  flags: read.flags as unknown as Cells[number]["flags"],
});
