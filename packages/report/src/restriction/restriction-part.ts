import type { RestrictionResult } from "bellmouth/stage";
import { firstScreen } from "../first-screen.js";
import { html } from "../html.js";
import type { ReportPart } from "../page.js";
import { changeFigures } from "./change-figures.js";
import { dropFigure, shapeFigures, shareFigure } from "./tract-figures.js";

/** A restriction budget as part of a page. */
export function restrictionPart(result: RestrictionResult): ReportPart {
  const { budget, verdict } = result;
  const look = verdict.findings.some((finding) => finding.level === "caution");
  const changes = changeFigures(result);
  return {
    kind: "restriction",
    label: "Restriction",
    title: result.title,
    first: firstScreen(
      {
        tone: look ? "caution" : "go",
        word: look ? "Decision needed" : "Measured",
        sentence: verdict.sentence,
      },
      result.keyFigures,
      verdict.findings,
    ),
    sections: [
      {
        id: "tract",
        title: "Where the pressure goes",
        intro: html`<p>${budget.points} points. Each part loses a share that follows the flow and a share that follows its square, neither below zero, in the air of its own place. Drops are of total pressure.</p>`,
        figures: [dropFigure(result), shareFigure(result), ...shapeFigures(result)],
      },
      ...(changes.length === 0 ? [] : [{ id: "what-if", title: "What could be changed", figures: changes }]),
    ],
  };
}
