import { type PlanResult, VERDICT_WORDS, wasRescaled } from "bellmouth/stage";
import { firstScreen } from "../first-screen.js";
import type { ReportPart } from "../page.js";
import { areaFigure, budgetFigure, curveFigure, executedFigure } from "./curve-figures.js";
import { headroomFigure, sweepFigures } from "./room-figures.js";
import { temperatureFigures } from "./temperature-figures.js";

const TONE = { ready: "go", "decision needed": "caution", "do not use": "stop" } as const;

const planSections = (plan: PlanResult): ReportPart["sections"] => [
  {
    id: "curve",
    title: "The curve",
    figures: [
      curveFigure(plan),
      ...(wasRescaled(plan) ? [areaFigure(plan)] : []),
      executedFigure(plan),
      budgetFigure(plan),
    ],
  },
  { id: "room", title: "Room", figures: [headroomFigure(plan), ...sweepFigures(plan)] },
  ...(plan.temperature === null
    ? []
    : [{ id: "temperature", title: "Air temperature", figures: temperatureFigures(plan) }]),
];

/** A plan as part of a page. */
export const planPart = (plan: PlanResult): ReportPart => ({
  kind: "plan",
  label: "Plan",
  title: plan.title,
  first: firstScreen(
    {
      tone: TONE[plan.verdict.level],
      word: VERDICT_WORDS[plan.verdict.level],
      sentence: plan.verdict.sentence,
    },
    plan.keyFigures,
    plan.verdict.findings,
  ),
  sections: planSections(plan),
});
