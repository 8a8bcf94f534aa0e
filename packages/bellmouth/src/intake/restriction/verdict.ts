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

/** Percent with as many decimals as tell the ends of its interval apart. */
function percentAs(share: number, width: number): string {
  const decimals = width > 0 ? Math.min(4, Math.max(0, Math.ceil(-Math.log10(100 * width)) + 1)) : 2;
  return (100 * share).toFixed(width > 0.05 ? 0 : decimals);
}

/**
 * 'The meter housing accounts for X % of the pressure loss (95 %: a to b)' in plain words.
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
  const percent = (value: number): string => percentAs(value, to - from);
  const level = `${Math.round(100 * budget.confidence)} %`;
  const rank =
    largest !== undefined && largest.name !== element.name
      ? `; the largest is "${largest.name}" with ${percentAs(largest.share.value, to - from)} %`
      : "";
  const text = budget.flags.includes("total not distinguishable from zero")
    ? `the readings do not tell the tract's drop from zero, so no share can be stated for ${name}`
    : `${name} accounts for ${percent(share.value)} % of the pressure loss at peak flow ` +
      `(${level}: ${percent(from)} to ${percent(to)} %)${rank}`;
  return { element: element.name, share, text };
}
