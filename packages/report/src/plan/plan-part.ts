import { type PlanResult, wasRescaled } from "bellmouth/stage";
import { firstScreen } from "../first-screen.js";
import type { ReportPart } from "../page.js";
import { areaFigure, budgetFigure, curveFigure, executedFigure } from "./curve-figures.js";
import { headroomFigure, sweepFigures } from "./room-figures.js";
import { temperatureFigures } from "./temperature-figures.js";

const TONE = { "go with care": "go", "look first": "look", refused: "stop" } as const;
const WORD = { "go with care": "Go with care", "look first": "Look first", refused: "Refused" } as const;

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
    { tone: TONE[plan.verdict.level], word: WORD[plan.verdict.level], sentence: plan.verdict.sentence },
    plan.keyFigures,
    plan.verdict.reasons,
  ),
  sections: planSections(plan),
});
