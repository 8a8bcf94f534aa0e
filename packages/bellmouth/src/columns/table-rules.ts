import type { QuantityRule } from "./channel-rules.js";
import { ruleOf } from "./channel-rules.js";
import type { Concept } from "./concept-words.js";

const OTHER_PARTS: readonly Concept[] = ["other part", "oil", "exhaust", "catalyst", "gear", "timing"];
const UNBOUNDED = { within: [-1e12, 1e12], reaches: -1e12, possible: [-1e12, 1e12], service: null } as const;

/**
 * What columns of tables can hold, by how names speak of it; ranges as in the rules of channels: values of usual parts, by common practice,
 * no source.
 */
export const TABLE_QUANTITIES = {
  signal: ruleOf("signal"),
  airflow: ruleOf("airflow"),
  "engine speed": ruleOf("engineSpeed"),
  temperature: {
    channel: "temperature",
    dimensions: ["temperature"],
    any: [["temperature"]],
    not: OTHER_PARTS,
    within: [200, 480],
    reaches: 280,
    possible: [120, 700],
    service: null,
  },
  resistance: {
    channel: "resistance",
    dimensions: ["resistance"],
    any: [["resistance"]],
    not: OTHER_PARTS,
    // From the hottest reading of a small element to the coldest one of a large.
    within: [5, 2e6],
    reaches: 200,
    possible: [0.1, 1e8],
    service: null,
  },
  input: {
    channel: "input",
    dimensions: ["voltage", "counts"],
    any: [["voltage"], ["counts"], ["signal"]],
    not: ["air", "meter", ...OTHER_PARTS],
    // Volts, millivolts and counts of a divider overlap: no values say which they are.
    within: [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY],
    reaches: Number.POSITIVE_INFINITY,
    possible: [0, 60],
    service: null,
  },
  breakpoint: {
    channel: "breakpoint",
    dimensions: ["frequency", "voltage", "counts", "resistance", "temperature"],
    any: [...ruleOf("signal").any, ["voltage"], ["counts"], ["temperature"], ["resistance"]],
    not: ["pressure", "target", "rotation", ...OTHER_PARTS],
    ...UNBOUNDED,
  },
  "pressure drop": {
    channel: "pressure drop",
    dimensions: ["pressure difference"],
    any: [],
    not: [],
    within: [-50_000, 100_000],
    reaches: 5,
    possible: [-200_000, 500_000],
    service: null,
  },
  number: { channel: "number", dimensions: ["ratio"], any: [], not: [], ...UNBOUNDED },
} as const satisfies { readonly [name: string]: QuantityRule };
export type TableQuantity = keyof typeof TABLE_QUANTITIES;
