import { type PlanResult, VERDICT_WORDS } from "../../stage/index.js";
import { inUnit, percent } from "../../text/index.js";
import type { Account, AccountFigure } from "../account.js";
import { airflowEntry } from "./airflow-entry.js";
import { headroomFigures } from "./headroom-parts.js";
import { leadFigures } from "./lead-figures.js";
import { planSections } from "./sections.js";
import { planSteps, planStop } from "./steps.js";
import { temperatureEntry } from "./temperature-entry.js";

/** What a plan has to say. Under "do not use" it offers nothing to type in. */
export function planAccount(plan: PlanResult): Account {
  const usable = plan.verdict.level !== "do not use";
  return {
    kind: "plan",
    label: "Plan",
    title: plan.title,
    verdict: {
      level: plan.verdict.level,
      words: VERDICT_WORDS[plan.verdict.level],
      sentence: plan.verdict.sentence,
    },
    figures: [...headroomFigures(plan), ...knownFigures(plan)],
    findings: plan.verdict.findings,
    entry: usable
      ? [airflowEntry(plan), ...(plan.temperature === null ? [] : [temperatureEntry(plan.temperature)])]
      : [],
    lead: leadFigures(plan),
    steps: planSteps(plan),
    stop: planStop(plan),
    sections: planSections(plan),
    cautions: plan.cautions,
  };
}

/** How well the table is known where it matters: at idle, and at high flow as far as a demand reaches. */
function knownFigures(plan: PlanResult): readonly AccountFigure[] {
  const { cells } = plan.airflow;
  const { idle } = plan.headroom;
  const reached = cells.filter(
    (cell, i) => cell.flow >= plan.entry.highFlowFrom && (plan.headroom.cells[i]?.reachedBy.length ?? 0) > 0,
  );
  const worst = reached.reduce((most, cell) => Math.max(most, cell.u), 0);
  const near =
    idle === null
      ? null
      : cells.reduce((a, b) => (Math.abs(b.wanted - idle.flow) < Math.abs(a.wanted - idle.flow) ? b : a));
  return [
    ...(near === null
      ? []
      : [
          {
            name: "Uncertainty at idle (95 %)",
            value: percent(1.96 * near.u, 2),
            interval: "",
            meaning: "Either way, in the cell nearest to idle.",
          },
        ]),
    ...(reached.length === 0
      ? []
      : [
          {
            name: "Uncertainty at high flow (95 %)",
            value: percent(1.96 * worst, 2),
            interval: "",
            meaning: `Either way, in the least certain cell above ${inUnit(plan.entry.highFlowFrom, plan.units.flow, "mass flow")} that a demand reaches.`,
          },
        ]),
  ];
}
