import type { PlanResult } from "../../stage/index.js";
import { columnDecimals, decimalsOf, figure, fixed, unitScale, unitSign } from "../../text/index.js";
import type { AccountTable } from "../account.js";
import { sumWords } from "../sums.js";
import { presentAt } from "./present-at.js";
import { shownUnits } from "./units.js";

/** Flows from here down count as around idle where idle is stated: its flow and this share more. */
export const AROUND_IDLE = 1.6;

/** The airflow table to type in: new beside present, ratio, 95 % interval, and what each group of cells is for. */
export function airflowEntry(plan: PlanResult): AccountTable {
  const { flow, signal, flowUnit, signalUnit } = shownUnits(plan);
  const { cells } = plan.airflow;
  const present = cells.map((cell) => presentAt(plan, cell.signal));
  const values = cells.map((cell) => flow(cell.flow));
  const stepIn = plan.entry.step === null ? null : plan.entry.step / unitScale(flowUnit, "mass flow").factor;
  const decimals = stepIn === null ? columnDecimals(values, 6) : decimalsOf(stepIn);
  const flowDecimals = Math.min(decimals, columnDecimals(values, 5));
  const signalDecimals = typedDecimals(cells.map((cell) => signal(cell.signal)));
  const groups = cells.map((cell) => groupOf(plan, cell));
  const typed = values.map((value) => Number(value.toFixed(decimals)));
  return {
    id: "airflow",
    caption: "Airflow table to type in",
    hint: `${cells.length} values${
      stepIn === null
        ? ", with the digits of the present table: the ECU's step is not given"
        : ` in ECU steps of ${stepIn} ${unitSign(flowUnit)}`
    }. Low and high: 95 % interval of the true flow.`,
    columns: [
      { name: "signal", unit: unitSign(signalUnit), align: "right" },
      { name: "present", unit: unitSign(flowUnit), align: "right" },
      { name: "new", unit: unitSign(flowUnit), align: "right", strong: true },
      { name: "new / present", unit: "", align: "right", wide: true },
      { name: "low", unit: unitSign(flowUnit), align: "right" },
      { name: "high", unit: unitSign(flowUnit), align: "right" },
    ],
    rows: cells.map((cell, i) => {
      const first = groups[i] !== groups[i - 1];
      const old = present[i] ?? null;
      return {
        ...(first ? { group: groups[i] as string } : {}),
        cells: [
          fixed(signal(cell.signal), signalDecimals),
          old === null ? "–" : fixed(flow(old), flowDecimals),
          fixed(values[i] as number, decimals),
          old === null || !(old > 0) ? "–" : fixed(cell.flow / old, 3),
          fixed(flow(cell.wanted) * Math.max(0, 1 - 1.96 * cell.u), flowDecimals),
          fixed(flow(cell.wanted) * (1 + 1.96 * cell.u), flowDecimals),
        ],
      };
    }),
    sums: sumWords(typed, decimals),
    copy: [0, 2],
  };
}

/** Decimals that show every value of an axis as it is, four at most. */
export const typedDecimals = (values: readonly number[]): number =>
  values.reduce((most, value) => Math.max(most, Math.min(4, decimalsOf(Number(value.toPrecision(7))))), 0);

function groupOf(plan: PlanResult, cell: PlanResult["airflow"]["cells"][number]): string {
  const { idle } = plan.headroom;
  const { highFlowFrom, richBias } = plan.entry;
  if (cell.flags.includes("extrapolated")) return "past the measured cells: from the fitted law";
  if (idle !== null && cell.flow <= AROUND_IDLE * idle.flow) return "around idle";
  if (cell.flow < highFlowFrom) return "light load";
  return richBias > 0
    ? `high flow, raised by ${figure(richBias, 2)} standard ${richBias === 1 ? "uncertainty" : "uncertainties"}`
    : "high flow";
}
