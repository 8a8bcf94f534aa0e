import { type AnyResult, CAUTIONS } from "bellmouth/stage";
import { decisionPart } from "./decision/decision-part.js";
import { drivePart } from "./drive/drive-part.js";
import type { Figure } from "./figure.js";
import { apartFromEachOther, page, type ReportPart } from "./page.js";
import { planPart } from "./plan/plan-part.js";
import { refinePart } from "./refine/refine-part.js";
import { restrictionPart } from "./restriction/restriction-part.js";
import { trialPart } from "./trial/trial-part.js";

export interface PageOptions {
  /** Heading of the page; the result's own title, or the kinds of the results, where left out. */
  readonly title?: string;
}

/**
 * Results as one self-contained HTML page: no network, opens from disk.
 *
 * @param results in the order in which they are shown
 */
export function reportPage(results: readonly AnyResult[], options: PageOptions = {}): string {
  return page(
    results.map(partOf),
    CAUTIONS,
    "Made with bellmouth. Uncertainties are standard (one sigma) unless a 95 % interval is named.",
    options.title,
  );
}

/** Every picture of results, for single SVG files. Ids are unique among them and are those of the page: `plan-curve`. */
export function reportFigures(results: readonly AnyResult[]): readonly Figure[] {
  return apartFromEachOther(results.map(partOf)).flatMap((part) =>
    part.sections.flatMap((section) => section.figures),
  );
}

/** Every picture of one result. */
export const resultFigures = (result: AnyResult): readonly Figure[] => reportFigures([result]);

function partOf(result: AnyResult): ReportPart {
  switch (result.bellmouth) {
    case "plan 1":
      return planPart(result);
    case "restriction 1":
      return restrictionPart(result);
    case "trial 1":
      return trialPart(result);
    case "decision 1":
      return decisionPart(result);
    case "refine 1":
      return refinePart(result);
    case "drive 1":
      return drivePart(result);
  }
}
