import { type RefineReport, VERDICT_WORDS } from "bellmouth/stage";
import { firstScreen } from "../first-screen.js";
import type { ReportPart } from "../page.js";
import { correctionFigure, intervalFigure, refinedCurveFigure } from "./correction-figures.js";
import { adviceFigure, usedFigure } from "./drive-figures.js";

const TONE = { ready: "go", "decision needed": "caution", "do not use": "stop" } as const;

function sectionsOf(report: RefineReport): ReportPart["sections"] {
  const used = report.refinement.drives.some((drive) => drive.refused === null);
  if (!used) return [{ id: "drives", title: "The drives", figures: [usedFigure(report)] }];
  return [
    {
      id: "correction",
      title: "The correction",
      figures: [correctionFigure(report), intervalFigure(report), refinedCurveFigure(report)],
    },
    { id: "drives", title: "The drives", figures: [usedFigure(report)] },
    ...(report.refinement.next.length === 0
      ? []
      : [{ id: "next", title: "What to drive next", figures: [adviceFigure(report)] }]),
  ];
}

/** A refinement as part of a page. */
export const refinePart = (report: RefineReport): ReportPart => ({
  kind: "refine",
  label: "Refinement",
  title: report.title,
  first: firstScreen(
    {
      tone: TONE[report.verdict.level],
      word: VERDICT_WORDS[report.verdict.level],
      sentence: report.verdict.sentence,
    },
    report.keyFigures,
    report.verdict.findings,
  ),
  sections: sectionsOf(report),
});
