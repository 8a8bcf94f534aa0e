import type { Concept } from "./concept-words.js";
import type { ColumnDimension } from "./unit-words.js";

/** Channels that a column of a log can be. */
export type ColumnChannel =
  | "signal"
  | "airflow"
  | "engineSpeed"
  | "lambda"
  | "lambdaTarget"
  | "shortTrim"
  | "longTrim"
  | "coolant"
  | "intakeAir"
  | "ambientAir"
  | "manifoldPressure"
  | "barometer"
  | "throttle"
  | "load"
  | "vehicleSpeed"
  | "battery"
  | "closedLoop"
  | "fuelCut";

/** What is known of a quantity that a column can hold. */
export interface QuantityRule {
  readonly channel: string;
  /** What its column measures, the likeliest first. */
  readonly dimensions: readonly ColumnDimension[];
  /** Any of these sets of concepts speaks for the channel; the largest found counts. */
  readonly any: readonly (readonly Concept[])[];
  /** Any of these speaks against it. */
  readonly not: readonly Concept[];
  /**
   * Where a sound log's values lie, in SI: every one of them `within`, and the greatest at least `reaches`. A unit under which they do
   * not cannot be the column's. Common practice, no source.
   */
  readonly within: readonly [low: number, high: number];
  readonly reaches: number;
  /** The lowest values lie at or below this in a drive that holds idle or overrun. */
  readonly fallsTo?: number | undefined;
  /** Values beyond these are no readings of the quantity: an interrupted line, a code for "none". */
  readonly possible: readonly [low: number, high: number];
  /** Unit in service data; null where they have no such item. @source SAE J1979 / ISO 15031-5 */
  readonly service: string | null;
}

/** The rule of a channel of logs. */
export interface ChannelRule extends QuantityRule {
  readonly channel: ColumnChannel;
}

const OTHER: readonly Concept[] = ["other part", "oil", "exhaust", "catalyst", "gear", "timing"];

export const CHANNEL_RULES: readonly ChannelRule[] = [
  {
    channel: "signal",
    dimensions: ["frequency", "voltage", "counts"],
    any: [
      ["air", "flow", "voltage"],
      ["air", "flow", "frequency"],
      ["air", "flow", "period"],
      ["air", "flow", "counts"],
      ["air", "flow", "raw"],
      ["air", "flow", "signal"],
      ["air", "mass", "voltage"],
      ["air", "mass", "frequency"],
      ["air", "mass", "period"],
      ["meter", "voltage"],
      ["meter", "frequency"],
      ["meter", "period"],
      ["meter", "counts"],
      ["meter", "signal"],
      ["signal"],
      ["meter"],
    ],
    not: ["temperature", "pressure", "target", "rotation", ...OTHER],
    within: [0, 25_000],
    reaches: 0.1,
    possible: [0, 60_000],
    service: null,
  },
  {
    channel: "airflow",
    dimensions: ["mass flow"],
    any: [
      ["air", "flow", "mass", "meter"],
      ["air", "flow", "mass"],
      ["air", "flow"],
      ["air", "mass"],
      ["mass", "flow"],
      ["meter"],
    ],
    not: [
      "voltage",
      "frequency",
      "period",
      "counts",
      "temperature",
      "pressure",
      "target",
      "fuel",
      "stroke",
      "volume",
      "raw",
      "signal",
      ...OTHER,
    ],
    within: [0, 1.5],
    reaches: 0.000_5,
    possible: [0, 3],
    service: "g/s",
  },
  {
    channel: "engineSpeed",
    dimensions: ["rotational speed"],
    any: [
      ["engine", "rotation", "speed"],
      ["engine", "rotation"],
      ["engine", "speed"],
      ["rotation"],
      ["speed"],
    ],
    not: ["vehicle", "idle", "target", ...OTHER],
    within: [0, 300],
    reaches: 5,
    possible: [0, 350],
    service: "rpm",
  },
  {
    channel: "lambda",
    dimensions: ["lambda"],
    any: [
      ["wideband", "lambda"],
      ["lambda", "afr"],
      ["lambda"],
      ["phi"],
      ["equivalence"],
      ["afr"],
      ["wideband"],
    ],
    not: ["voltage", "temperature", "target", "trim", "narrowband", "resistance", ...OTHER],
    within: [0.5, 20],
    reaches: 0.6,
    possible: [0.4, 20],
    service: "1",
  },
  {
    channel: "lambdaTarget",
    dimensions: ["lambda"],
    any: [
      ["target", "lambda"],
      ["target", "afr"],
      ["target", "phi"],
      ["target", "equivalence"],
    ],
    not: ["voltage", "temperature", "trim", ...OTHER],
    within: [0.5, 20],
    reaches: 0.6,
    possible: [0.3, 64],
    service: "1",
  },
  {
    channel: "shortTrim",
    dimensions: ["trim"],
    any: [
      ["short", "trim", "fuel"],
      ["short", "trim"],
    ],
    not: ["long", "other part", "temperature", "timing"],
    within: [-0.6, 1],
    reaches: -0.6,
    possible: [-1, 1],
    service: "%",
  },
  {
    channel: "longTrim",
    dimensions: ["trim"],
    any: [
      ["long", "trim", "fuel"],
      ["long", "trim"],
    ],
    not: ["short", "other part", "temperature", "timing"],
    within: [-0.6, 1],
    reaches: -0.6,
    possible: [-1, 1],
    service: "%",
  },
  {
    channel: "coolant",
    dimensions: ["temperature"],
    any: [
      ["coolant", "temperature", "engine"],
      ["coolant", "temperature"],
      ["coolant"],
      ["engine", "temperature"],
    ],
    not: ["pressure", "ambient", "intake", "air", "trim", "manifold", "time", "fuel", ...OTHER],
    within: [223, 413],
    reaches: 240,
    possible: [218, 433],
    service: "degC",
  },
  {
    channel: "intakeAir",
    dimensions: ["temperature"],
    any: [
      ["intake", "air", "temperature"],
      ["intake", "temperature"],
      ["manifold", "temperature"],
      ["meter", "temperature"],
      ["boost", "temperature"],
      ["intake", "air"],
      ["air", "temperature"],
    ],
    not: ["ambient", "coolant", "flow", "load", ...OTHER],
    within: [223, 383],
    reaches: 230,
    possible: [218, 423],
    service: "degC",
  },
  {
    channel: "ambientAir",
    dimensions: ["temperature"],
    any: [
      ["ambient", "air", "temperature"],
      ["ambient", "temperature"],
    ],
    not: ["coolant", "intake", ...OTHER],
    within: [223, 333],
    reaches: 230,
    possible: [218, 343],
    service: "degC",
  },
  {
    channel: "manifoldPressure",
    dimensions: ["pressure"],
    any: [
      ["manifold", "pressure", "absolute"],
      ["intake", "manifold", "pressure"],
      ["manifold", "pressure"],
      ["intake", "pressure"],
      ["boost", "pressure"],
      ["vacuum", "pressure"],
      ["boost"],
    ],
    not: ["temperature", "target", "ambient", "coolant", "fuel", "difference", ...OTHER],
    within: [8_000, 450_000],
    reaches: 20_000,
    fallsTo: 75_000,
    possible: [5_000, 600_000],
    service: "kPa",
  },
  {
    channel: "barometer",
    dimensions: ["pressure"],
    any: [["barometric", "pressure"], ["ambient", "pressure"], ["barometric"]],
    not: ["temperature", "manifold", "intake", "boost", "coolant", "trim", ...OTHER],
    within: [50_000, 110_000],
    reaches: 50_000,
    possible: [45_000, 115_000],
    service: "kPa",
  },
  {
    channel: "throttle",
    dimensions: ["ratio"],
    any: [["throttle", "position"], ["throttle", "angle"], ["throttle"]],
    not: ["pedal", "relative", "target", "temperature", "voltage", "pressure", ...OTHER],
    within: [-0.05, 1.05],
    reaches: 0.005,
    possible: [-0.2, 1.3],
    service: "%",
  },
  {
    channel: "load",
    dimensions: ["ratio"],
    any: [["engine", "load"], ["load"]],
    not: ["absolute", "temperature", "pressure", "air", "intake", ...OTHER],
    within: [0, 3],
    reaches: 0.01,
    possible: [0, 5],
    service: "%",
  },
  {
    channel: "vehicleSpeed",
    dimensions: ["speed"],
    any: [["vehicle", "speed"], ["speed"]],
    not: ["engine", "rotation", "flow", "air", "target", "idle", ...OTHER],
    within: [0, 110],
    reaches: 0,
    possible: [0, 140],
    service: "km/h",
  },
  {
    channel: "battery",
    dimensions: ["voltage"],
    any: [["battery", "voltage"], ["battery"]],
    not: ["temperature", ...OTHER],
    within: [3, 35],
    reaches: 6,
    possible: [0, 40],
    service: "V",
  },
  {
    channel: "closedLoop",
    dimensions: ["flag"],
    any: [["closed loop"]],
    not: [],
    within: [0, 1],
    reaches: 0,
    possible: [0, 1],
    service: null,
  },
  {
    channel: "fuelCut",
    dimensions: ["flag"],
    any: [["fuel cut"]],
    not: [],
    within: [0, 1],
    reaches: 0,
    possible: [0, 1],
    service: null,
  },
];

export const ruleOf = (channel: ColumnChannel): ChannelRule =>
  CHANNEL_RULES.find((rule) => rule.channel === channel) as ChannelRule;

/** Channels that a name's concepts speak for, the best first, with how many concepts say so. */
export function channelsNamed(
  concepts: ReadonlySet<Concept>,
): readonly { readonly rule: ChannelRule; readonly score: number }[] {
  return CHANNEL_RULES.flatMap((rule) => {
    if (rule.not.some((one) => concepts.has(one))) return [];
    const score = Math.max(
      0,
      ...rule.any.filter((all) => all.every((one) => concepts.has(one))).map((all) => all.length),
    );
    return score === 0 ? [] : [{ rule, score }];
  }).sort((a, b) => b.score - a.score);
}
