import { CAUTIONS, type PlanResult, type RefineReport } from "bellmouth/job";
import type { Figure } from "./figure.js";
import { page, type ReportPart } from "./page.js";
import { planFigures, planPart } from "./plan/plan-part.js";
import { refineFigures, refinePart } from "./refine/refine-part.js";

/** Any result the page can show; its `bellmouth` field says which. */
export type AnyResult = PlanResult | RefineReport;

/** Results as one self-contained HTML page: no network, opens from disk. */
export function reportPage(results: readonly AnyResult[]): string {
  return page(
    results.map(partOf),
    CAUTIONS,
    "Made with bellmouth. Uncertainties are standard (one sigma) unless a 95 % interval is named.",
  );
}

/** Every picture of a result, for single SVG files. */
export function resultFigures(result: AnyResult): readonly Figure[] {
  return result.bellmouth === "refine 1" ? refineFigures(result) : planFigures(result);
}

function partOf(result: AnyResult): ReportPart {
  return result.bellmouth === "refine 1" ? refinePart(result) : planPart(result);
}
