import type { PlanResult } from "../../stage/index.js";
import { chance, figure, fixed, inUnit, unitSign } from "../../text/index.js";
import type { AccountTable } from "../account.js";
import { shownUnits } from "./units.js";

/** Each demand against the limits of the ECU that were given; no table where none was. */
export function ecuLimitTables(plan: PlanResult): readonly AccountTable[] {
  const { ecuLimits } = plan;
  if (ecuLimits === null) return [];
  const { flow, flowUnit } = shownUnits(plan);
  const { airflow, cylinderAir, signal, scenarios } = ecuLimits;
  const given = [
    ...(airflow === null ? [] : [`airflow field to ${inUnit(airflow, plan.units.flow, "mass flow")}`]),
    ...(cylinderAir === null ? [] : [`load axis to ${inUnit(cylinderAir, "mg", "mass")} per stroke`]),
    ...(signal.low === null ? [] : [`fault below ${inUnit(signal.low, plan.units.signal, plan.signal)}`]),
    ...(signal.high === null ? [] : [`fault above ${inUnit(signal.high, plan.units.signal, plan.signal)}`]),
  ];
  const right = { unit: "", align: "right" } as const;
  const chanceOf = (value: number | null | undefined): string =>
    typeof value === "number" ? chance(value) : "–";
  return [
    {
      id: "ecu-limits",
      caption: "Demands and the ECU's limits",
      hint: `Given: ${given.join(", ")}. Flow and air per cylinder as the stored table reads them; a table that ends first holds them below that.`,
      columns: [
        { name: "demand", unit: "", align: "left" },
        { name: "reads", unit: unitSign(flowUnit), align: "right" },
        { name: "chance of the field's end", ...right },
        { name: "air per cylinder", unit: "mg", align: "right" },
        { name: "chance of the axis' end", ...right },
        { name: "axis shift", unit: "cells", align: "right", wide: true },
        { name: "chance of the low fault", ...right },
        { name: "chance of the high fault", ...right },
      ],
      rows: scenarios.map((one) => ({
        cells: [
          one.name,
          fixed(flow(one.reads), 1),
          chanceOf(one.chanceAirflow),
          one.cylinderAir === null ? "–" : fixed(1e6 * one.cylinderAir.reads, 0),
          chanceOf(one.cylinderAir?.chance),
          typeof one.cylinderAir?.cells === "number" ? figure(one.cylinderAir.cells, 2) : "–",
          chanceOf(one.chanceLow),
          chanceOf(one.chanceHigh),
        ],
      })),
      brief: true,
    },
  ];
}
