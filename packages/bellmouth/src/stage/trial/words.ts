import type { TrialFlag, TrialResult } from "../../intake/index.js";
import { figure, percent, unitScale } from "../../text/index.js";
import type { Finding } from "../result-parts.js";

/** What each flag of a trial means to a person. */
export const trialWords: { readonly [flag in TrialFlag]: Pick<Finding, "level" | "text"> } = {
  "single pair": {
    level: "caution",
    text: "One run a side cannot know three things: how well a run repeats, whether the car or the weather drifted between the two, and whether the difference is chance. Four more runs, in all before, after, after, before, after, before, would begin to tell: with two more, only a difference of many times the scatter is shown.",
  },
  "one side first": {
    level: "caution",
    text: "All runs of one side came before all of the other. Heat soak, settling and weather change in the same sense as the part, so nothing is claimed, and the interval holds only if they did not. Drive old, new, old, or old, new, new, old; or state 'soak', or measure that every run had settled.",
  },
  "one side first, bounded": {
    level: "caution",
    text: "All runs of one side came before all of the other: the result rests on what was stated or measured of heat soak and drift.",
  },
  "not settled": {
    level: "caution",
    text: "Some runs began while the coolant moved by more than 1 K a minute or the intake air by more than 2 K a minute: wait until both are steady before a pull.",
  },
  "readings alike": {
    level: "caution",
    text: "All readings are one value, so their step cannot be found and equal readings show nothing: state 'step', the smallest step of the gauge or the log.",
  },
  "step found": {
    level: "note",
    text: "The readings fall on steps that are larger than their scatter; the step found was taken into the intervals. State 'step' if the gauge reads finer.",
  },
  "order costs": {
    level: "caution",
    text: "In this order of runs a steady drift looks much like the effect, and the interval is wider for it. Before, after, after, before keeps drift out.",
  },
  "stated repeatability": {
    level: "caution",
    text: "The interval rests on the repeatability that was stated, not on what these runs showed.",
  },
  "no interval": {
    level: "caution",
    text: "Nothing judges this number: too few runs, and no repeatability was stated. It is a reading, not a result.",
  },
  "over an hour": {
    level: "caution",
    text: "The runs span more than an hour: weather, fuel and the car have had time to change.",
  },
  "courses differ": {
    level: "caution",
    text: "Not all runs were on the same road in the same direction: slope and wind are in the difference.",
  },
  boosted: {
    level: "caution",
    text: "The engine is boosted: manifold pressures are compared over the barometer as they stand. A boost control may give back in pressure what a part takes, so no difference here does not mean no restriction; compare the pressure before the compressor for that.",
  },
  "air differs": {
    level: "caution",
    text: "The air changed by more than 3 % between runs: the correction to common air is no longer small.",
  },
  "points left out": {
    level: "note",
    text: "Some engine speeds are not covered by both sides and are left out of the pooled figure.",
  },
  "samples missing": {
    level: "note",
    text: "Some runs miss some engine speeds; their means are adjusted for it.",
  },
};

/** How a quantity is shown. */
export interface TrialScale {
  readonly factor: number;
  readonly unit: string;
}

export const scaleOf = (result: TrialResult, pressureUnit: string): TrialScale =>
  result.quantity === "pressure"
    ? { factor: unitScale(pressureUnit, "pressure difference").factor, unit: pressureUnit }
    : { factor: 1, unit: "K" };

/** The answer of one comparison in one sentence, and what it could have seen. */
export function trialSentence(result: TrialResult, pressureUnit: string): string {
  const { factor, unit } = scaleOf(result, pressureUnit);
  const what = result.quantity === "pressure" ? "manifold pressure" : "intake air over outside air";
  const { effect, estimate } = result.pooled;
  const size = `${figure(Math.abs(effect) / factor)} ${unit}`;
  if (estimate === null || estimate.from === null || estimate.to === null) {
    return `The ${what} read ${size} ${effect >= 0 ? "higher" : "lower"} after the change, and nothing here judges that number.`;
  }
  const span = `(${percent(estimate.confidence, 2)}: ${figure(estimate.from / factor)} to ${figure(estimate.to / factor)} ${unit})`;
  const seen =
    result.detectable === null
      ? ""
      : ` A difference of ${figure(result.detectable / factor, 2)} ${unit} would have been seen with a probability of ${percent(result.power, 2)}.`;
  if (result.claim === "cannot tell") {
    return `Whether the ${what} changed cannot be told from these runs: it read ${size} ${effect >= 0 ? "higher" : "lower"} after the change ${span}, and the order of the runs does not keep heat soak and drift out of that.`;
  }
  if (result.claim === "none") {
    return `No difference in ${what} was shown: ${figure(effect / factor)} ${unit} ${span}.${seen}`;
  }
  const way =
    result.quantity === "pressure"
      ? result.claim === "rise"
        ? "rose"
        : "fell"
      : result.claim === "rise"
        ? "grew warmer"
        : "grew colder";
  return `The ${what} ${way} by ${size} ${span}.${seen}`;
}
