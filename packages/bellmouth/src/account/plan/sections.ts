import { isRescaled, type PlanResult } from "../../stage/index.js";
import { figure, fixed, inUnit, percent, unitSign } from "../../text/index.js";
import type { AccountSection, AccountTable } from "../account.js";
import { typedDecimals } from "./airflow-entry.js";
import { areaFigure, budgetFigure, executedFigure } from "./curve-figures.js";
import { ecuLimitTables } from "./ecu-limit-table.js";
import { headroomTable, idleWords } from "./headroom-parts.js";
import { headroomFigure, sweepFigures } from "./room-figures.js";
import { boreTable } from "./sweep-account.js";
import { temperatureWords } from "./temperature-entry.js";
import { temperatureFigures } from "./temperature-figures.js";
import { shownUnits } from "./units.js";

/** What follows the first screen: headroom, bores, the curve's details, the temperature table, how it was made. */
export function planSections(plan: PlanResult): readonly AccountSection[] {
  const idle = idleWords(plan);
  const { temperature } = plan;
  return [
    {
      id: "headroom",
      title: "Headroom",
      text: idle === null ? [] : [idle],
      tables: [headroomTable(plan), ...ecuLimitTables(plan)],
      figures: [headroomFigure(plan)],
    },
    ...(plan.sweep === null
      ? []
      : [
          {
            id: "bores",
            title: "Which bore",
            text: [plan.sweep.sentence],
            tables: [{ ...boreTable(plan, plan.sweep), brief: false }],
            figures: sweepFigures(plan),
          },
        ]),
    {
      id: "curve",
      title: "The curve in detail",
      text: [],
      tables: [cellTable(plan)],
      figures: [executedFigure(plan), budgetFigure(plan), ...(isRescaled(plan) ? [areaFigure(plan)] : [])],
    },
    ...(temperature === null
      ? []
      : [
          {
            id: "temperature",
            title: "Air temperature",
            text: [temperatureWords(temperature)],
            tables: [],
            figures: temperatureFigures(plan),
          },
        ]),
    { id: "method", title: "How it was made", text: methodWords(plan), tables: [], figures: [] },
  ];
}

function cellTable(plan: PlanResult): AccountTable {
  const { flow, signal, flowUnit, signalUnit } = shownUnits(plan);
  const { cells } = plan.airflow;
  const decimals = typedDecimals(cells.map((cell) => signal(cell.signal)));
  const right = { unit: "%", align: "right" } as const;
  return {
    id: "cells",
    caption: "Cell by cell",
    hint: "u: relative standard uncertainty. Executed error: lowest and highest around the cell, straight lines and storage included; above zero reads rich.",
    columns: [
      { name: "signal", unit: unitSign(signalUnit), align: "right" },
      { name: "curve", unit: unitSign(flowUnit), align: "right" },
      { name: "u", ...right },
      { name: "ratio to area scaling", unit: "", align: "right", wide: true },
      { name: "executed, lowest", ...right, wide: true },
      { name: "executed, highest", ...right, wide: true },
      { name: "origin", unit: "", align: "left" },
      { name: "flags", unit: "", align: "left" },
    ],
    rows: cells.map((cell) => ({
      cells: [
        fixed(signal(cell.signal), decimals),
        fixed(flow(cell.wanted), 3),
        fixed(100 * cell.u, 1),
        fixed(cell.overAreaOnly, 4),
        fixed(100 * cell.readsLow, 2),
        fixed(100 * cell.readsHigh, 2),
        cell.origin,
        cell.flags.join(", "),
      ],
    })),
  };
}

function methodWords(plan: PlanResult): readonly string[] {
  const { source, areaRatio, executed, outside } = plan.airflow;
  const law =
    source.law === null
      ? "Nothing lies between or past its own cells."
      : `Between and past its own cells a ${source.law.form} law stands in (left-out points are predicted to ${percent(source.law.leaveOneOut, 2)} rms).`;
  return [
    `The curve is the ${source.kind === "donor" ? "donor's table" : "present table"} (${source.points.length} cells), ${
      isRescaled(plan)
        ? `rescaled by the ratio of open areas, ${figure(areaRatio, 4)}, and by the velocity profiles in both housings`
        : "which holds for the new housing as it is: nothing was rescaled"
    }. ${law}`,
    `The ECU joins the ${plan.airflow.cells.length} breakpoints with straight lines and past the ends will ${outside === "hold" ? "hold the end value" : "carry the last line on"}. As executed the table is off by at most ${percent(Math.abs(executed.worst.error), 2)} (at ${inUnit(executed.worst.signal, plan.units.signal, plan.signal)}); copying the curve's values would be off by ${percent(Math.abs(executed.sampledWorst.error), 2)}.`,
    "Intervals are 95 %, first order. cells.csv has the uncertainty by component.",
  ];
}
