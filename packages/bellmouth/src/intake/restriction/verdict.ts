import { BellmouthError } from "../../fault/index.js";
import type { Estimate } from "../estimate.js";
import { meterHousing } from "./budget.js";
import type { RestrictionBudget } from "./restriction-budget.js";

/** The budget's answer in one line, and the numbers behind it. */
export interface RestrictionVerdict {
  /** element that the line is about: the meter housing, or the largest where no element has that role */
  readonly element: string;
  readonly share: Estimate;
  /** one sentence, in percent */
  readonly text: string;
}

const percent = (share: number): string => {
  const value = 100 * share;
  return value < 10 ? value.toFixed(1) : value.toFixed(0);
};

/**
 * 'The meter housing takes X % ± Y' in plain words, with the range where it is not the same on both sides.
 *
 * @param budget measured budget
 * @throws `E_SHAPE` when it has no element
 */
export function restrictionVerdict(budget: RestrictionBudget): RestrictionVerdict {
  const largest = [...budget.elements].sort((a, b) => b.share.value - a.share.value)[0];
  const element = meterHousing(budget) ?? largest;
  if (element === undefined) {
    throw new BellmouthError({
      code: "E_SHAPE",
      message: "a budget has at least one element",
      found: "none",
    });
  }
  const { share } = element;
  const from = share.from ?? 0;
  const to = share.to ?? 1;
  const name =
    element.role === "meter housing" ? `the meter housing ("${element.name}")` : `"${element.name}"`;
  const level = `${percent(budget.confidence)} %`;
  const rank =
    largest !== undefined && largest.name !== element.name
      ? `; the largest is "${largest.name}" with ${percent(largest.share.value)} %`
      : "";
  const text = budget.flags.includes("total not told from zero")
    ? `the readings do not tell the tract's drop from zero, so no share can be stated for ${name}`
    : `${name} takes ${percent(share.value)} % ± ${percent((to - from) / 2)} % of the drop at peak ` +
      `(${level} interval ${percent(from)} to ${percent(to)} %)${rank}`;
  return { element: element.name, share, text };
}
