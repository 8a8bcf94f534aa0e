import type { PlanResult, UsableSignal } from "../../stage/index.js";
import {
  chance,
  columnDecimals,
  figure,
  fixed,
  inUnit,
  limitWords,
  percent,
  unitSign,
} from "../../text/index.js";
import type { AccountFigure, AccountTable } from "../account.js";
import { shownUnits } from "./units.js";

/** Each demand against the usable signal, with the new meter and the present one. */
export function headroomTable(plan: PlanResult): AccountTable {
  const { flow, signal, flowUnit, signalUnit } = shownUnits(plan);
  const { scenarios, usable } = plan.headroom;
  const flows = scenarios.flatMap((scenario) => [
    flow(scenario.demand),
    flow(scenario.demand * (1 + 1.96 * scenario.u)),
  ]);
  const decimals = columnDecimals(flows, 4);
  const signals = columnDecimals(
    scenarios.map((scenario) => signal(scenario.signal)),
    4,
  );
  const right = { unit: "", align: "right" } as const;
  return {
    id: "demands",
    caption: "Demands and headroom",
    hint: `${usableWords(plan)} A demand comes near the limit from a chance of 2 % on.`,
    columns: [
      { name: "demand", unit: "", align: "left" },
      { name: "flow", unit: unitSign(flowUnit), align: "right" },
      { name: "low", unit: unitSign(flowUnit), align: "right", wide: true },
      { name: "high", unit: unitSign(flowUnit), align: "right", wide: true },
      { name: "signal", unit: unitSign(signalUnit), align: "right" },
      { name: "of", unit: unitSign(signalUnit), align: "right" },
      { name: "headroom", unit: unitSign(flowUnit), align: "right" },
      { name: "chance of exceeding", ...right },
      { name: "present meter", ...right },
    ],
    rows: scenarios.map((scenario) => ({
      cells: [
        scenario.name,
        fixed(flow(scenario.demand), decimals),
        fixed(flow(scenario.demand * (1 - 1.96 * scenario.u)), decimals),
        fixed(flow(scenario.demand * (1 + 1.96 * scenario.u)), decimals),
        fixed(signal(scenario.signal), signals),
        fixed(signal(usable.to), signals),
        fixed(flow(scenario.flowLeft), decimals),
        chance(scenario.chanceOver),
        scenario.before === null ? "–" : `${chance(scenario.before.chanceOver)}`,
      ],
    })),
    brief: true,
  };
}

/** Where the usable signal ends and what ends it, with the new meter and the present one. */
export function usableWords(plan: PlanResult): string {
  const { usable, usableBefore } = plan.headroom;
  const words = ({ to, flow, limitedBy }: UsableSignal): string =>
    `${inUnit(to, plan.units.signal, plan.signal, 4)}, ${inUnit(flow, plan.units.flow, "mass flow", 4)}, where ${limitWords(limitedBy)} ends`;
  const before =
    usableBefore === null
      ? ""
      : ` Present meter: usable to ${inUnit(usableBefore.flow, plan.units.flow, "mass flow", 4)}, where ${limitWords(usableBefore.limitedBy)} ends.`;
  return `Usable to ${words(usable)}.${before}`;
}

/** Idle, in a sentence; null where the document says nothing of it. */
export function idleWords(plan: PlanResult): string | null {
  const { idle } = plan.headroom;
  if (idle === null) return null;
  return `Idle, ${inUnit(idle.flow, plan.units.flow, "mass flow")}, reads ${inUnit(idle.signal, plan.units.signal, plan.signal, 4)}${idle.below ? ", below the usable signal" : ""}${
    idle.stepShare === null
      ? ""
      : `; one step of the input is worth ${percent(idle.stepShare, 2)} of the flow there`
  }.`;
}

/** The governing demand and its headroom. */
export function headroomFigures(plan: PlanResult): readonly AccountFigure[] {
  const { scenarios, usable } = plan.headroom;
  const governing = scenarios.reduce((a, b) =>
    b.chanceOver > a.chanceOver || (b.chanceOver === a.chanceOver && b.share > a.share) ? b : a,
  );
  const signal = (value: number): string => inUnit(value, plan.units.signal, plan.signal, 4);
  return [
    {
      name: `Governing demand, '${governing.name}'`,
      value: `${signal(governing.signal)} of ${signal(usable.to)}`,
      interval: "",
      meaning: `Chance of exceeding the usable signal: ${chance(governing.chanceOver)}.`,
    },
    {
      name: "Headroom above it",
      value: `${figure((100 * governing.flowLeft) / governing.demand)} %`,
      interval: leftInterval(governing),
      meaning: "Of the demand: how much more air the meter can measure.",
    },
  ];
}

/** Interval of what is left, from the demand's own; none where the demand already lies past the end. */
function leftInterval({ demand, flowLeft, u }: PlanResult["headroom"]["scenarios"][number]): string {
  const limit = demand + flowLeft;
  if (!(flowLeft > 0)) return "past the end";
  const end = (flow: number): number => 100 * (limit / flow - 1);
  return `95 %: ${figure(end(demand * (1 + 1.96 * u)))} to ${figure(end(demand * (1 - 1.96 * u)))} %`;
}
