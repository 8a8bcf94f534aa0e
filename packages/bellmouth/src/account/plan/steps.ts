import type { PlanResult } from "../../stage/index.js";
import { figure, inUnit, unitSign } from "../../text/index.js";
import type { AccountStep } from "../account.js";
import { AROUND_IDLE } from "./airflow-entry.js";
import { lambdaEnds } from "./lead-figures.js";
import { shownUnits } from "./units.js";

/** What to do after a plan, in order, with the plan's own figures. */
export function planSteps(plan: PlanResult): readonly AccountStep[] {
  if (plan.verdict.level === "do not use") return [];
  const { flow, signal, flowUnit, signalUnit } = shownUnits(plan);
  const { idle } = plan.headroom;
  const { highFlowFrom } = plan.entry;
  const light = plan.airflow.cells.filter(
    (cell) => cell.flow < highFlowFrom && (idle === null || cell.flow > AROUND_IDLE * idle.flow),
  );
  const high = plan.airflow.cells.filter(
    (cell) => cell.flow >= highFlowFrom && !cell.flags.includes("extrapolated"),
  );
  const highest = light[light.length - 1];
  const several = plan.temperature !== null;
  return [
    {
      head: several ? "Save both present tables" : "Save the present table",
      text: "Keep a copy that can be loaded again at the roadside.",
    },
    {
      head: several ? "Type in both tables" : "Type in the table",
      text: "Compare both sums afterwards. Set long-term fuel trims to 0.",
    },
    {
      head: "Log the old meter first",
      text: "If the old meter is still fitted: log three drives with it before taking it off (airflow or signal, engine speed, manifold pressure, intake air, coolant, trims and lambda if there). They tell a wrong table from wrong fuel later.",
    },
    ...idleSteps(plan),
    {
      head: "Drive gently, logging",
      text:
        highest === undefined
          ? "Stay at light load."
          : `Stay below ${figure(flow(highest.flow))} ${unitSign(flowUnit)} (${figure(signal(highest.signal))} ${unitSign(signalUnit)}). Expect lambda, feedback off, ${lambdaWords(light)} of its target.`,
    },
    {
      head: "Refine with that log",
      text: "Before any full throttle:",
      command: "bellmouth refine refine.yaml --out pass-1",
    },
    {
      head: "Full throttle last",
      text: `Only in short pulls on a closed course or a dynamometer, with a second person at the laptop.${
        high.length === 0 ? "" : ` With this table expect lambda ${lambdaWords(high)} of its target.`
      }`,
    },
  ];
}

function idleSteps(plan: PlanResult): readonly AccountStep[] {
  const { idle } = plan.headroom;
  if (idle === null) {
    return [
      {
        head: "Start and warm up",
        text: "Two minutes at idle, then at a steady 2500 rpm, wideband lambda on if there is one. Trims at the end of their range: switch off.",
      },
    ];
  }
  const { signal, signalUnit, flowUnit } = shownUnits(plan);
  const near = plan.airflow.cells.reduce((a, b) =>
    Math.abs(Math.log(b.wanted / idle.flow)) < Math.abs(Math.log(a.wanted / idle.flow)) ? b : a,
  );
  const ends = [1 + 1.96 * near.u, Math.max(0.05, 1 - 1.96 * near.u)].map((factor) =>
    signalOf(plan, idle.flow / factor),
  );
  const shown = ends.map((end) => (end === null ? "–" : figure(signal(end))));
  const high = 100 * 1.96 * near.u;
  return [
    {
      head: "Start and warm up",
      text: `Wideband lambda on if there is one. At idle, ${inUnit(idle.flow, flowUnit, "mass flow")}, the signal should read ${shown.join(" to ")} ${unitSign(signalUnit)} (95 %). Outside that: switch off and look for an air leak, a wrong element or a typing error.`,
    },
    {
      head: "Idle with lambda feedback on",
      text: `The table may be ${figure(high, 2)} % off here either way (95 %), and the trims will show it. Trims at the end of their range: switch off, load the saved table, and look for the cause.`,
    },
  ];
}

/** `9 % rich to 7 % lean`, over cells. */
function lambdaWords(cells: PlanResult["airflow"]["cells"]): string {
  const ends = cells.map(lambdaEnds);
  const rich = ends.reduce((least, [low]) => Math.min(least, low), 0);
  const lean = ends.reduce((most, [, top]) => Math.max(most, top), 0);
  return `${figure(-rich, 2)} % rich to ${figure(lean, 2)} % lean`;
}

/** Signal at which the wanted curve gives a flow; null past its ends. */
function signalOf({ airflow }: PlanResult, flow: number): number | null {
  const right = airflow.wanted.findIndex((point) => point.flow >= flow);
  const [a, b] = [airflow.wanted[right - 1], airflow.wanted[right]];
  if (a === undefined || b === undefined) return null;
  return a.signal + ((b.signal - a.signal) * (flow - a.flow)) / (b.flow - a.flow);
}

/** When to stop a drive on a planned table. */
export function planStop(plan: PlanResult): string | null {
  if (plan.verdict.level === "do not use") return null;
  const { flow, flowUnit } = shownUnits(plan);
  const high = plan.airflow.cells.filter(
    (cell) => cell.flow >= plan.entry.highFlowFrom && !cell.flags.includes("extrapolated"),
  );
  const lean = high.map(lambdaEnds).reduce((most, [, top]) => Math.max(most, top), 0);
  return high.length === 0
    ? "lift at the first knock, and when lambda under load reads leaner than its target."
    : `lift at the first knock, and when lambda above ${figure(flow(plan.entry.highFlowFrom))} ${unitSign(flowUnit)} reads more than ${figure(lean, 2)} % lean of its target: this table cannot explain it.`;
}
