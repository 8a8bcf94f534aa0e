import { BellmouthError, requireNumber } from "../../fault/index.js";
import { HORSEPOWER_W } from "../../units/index.js";
import type { Estimate } from "../estimate.js";
import { interval } from "../interval.js";

/** Work that several changes can share, such as one session on the dyno or one evening of calibration. */
export interface SharedWork {
  /** Two options that name the same work pay for it once when done together. */
  readonly name: string;
  /** in the table's currency */
  readonly cost: number;
}

/** Headroom that a change leaves for the next one. */
export interface HeadroomLeft {
  /** flow that the signal can still follow above the demand [kg/s]; below zero when the demand is over it */
  readonly flowLeft: number;
  /** probability that the demand exceeds the usable signal [1] */
  readonly probabilityOver: number;
}

/** One change that could be made. */
export interface UpgradeOption {
  readonly name: string;
  /** parts, in the table's currency */
  readonly parts: number;
  /** tuning and other work */
  readonly work: readonly SharedWork[];
  /** brake power gained [W]; null when nobody has measured or reckoned it */
  readonly gain: Estimate | null;
  /** headroom left after this change, from the plan; null when unknown */
  readonly headroom: HeadroomLeft | null;
}

/** Several options done together, where it is known that they do not simply add up. */
export interface TogetherOption {
  readonly options: readonly string[];
  /** brake power gained by all of them [W]; the sum of their gains when not given */
  readonly gain?: Estimate;
  /** headroom left after all of them; unknown when not given */
  readonly headroom?: HeadroomLeft;
}

/** A cost per unit of gain. */
export interface CostRate {
  /** in currency per kilowatt or per horsepower; null when the gain is not above zero */
  readonly value: number | null;
  readonly from: number | null;
  /** null: the gain may be nothing, so there is no upper limit */
  readonly to: number | null;
}

export interface DecisionRow {
  readonly options: readonly string[];
  readonly parts: number;
  readonly work: number;
  readonly total: number;
  /** what doing them together saves against doing them one by one */
  readonly saved: number;
  readonly gain: Estimate | null;
  readonly perKilowatt: CostRate | null;
  readonly perHorsepower: CostRate | null;
  readonly headroom: HeadroomLeft | null;
  /** of a combination: what each of its options costs when the others are done anyway; empty for one option */
  readonly withTheOthers: readonly AddedCost[];
  /** "gains added": the sum of single gains, which holds only while one change does not take from another */
  readonly flags: readonly (
    | "gains added"
    | "gain unknown"
    | "loss shown"
    | "gain not distinguishable from zero"
    | "no headroom left"
  )[];
}

/** Cost of one option when it is done with the others of a combination: its parts, and the work that it does not share. */
export interface AddedCost {
  readonly option: string;
  readonly cost: number;
  /** what it costs alone less that */
  readonly saved: number;
  /** its own gain at that cost; null when unknown */
  readonly perKilowatt: CostRate | null;
}

export interface DecisionTable {
  readonly kind: "decision table";
  /** as the caller writes it, for example "EUR" */
  readonly currency: string;
  readonly rows: readonly DecisionRow[];
  /** what the table does not decide */
  readonly cautions: readonly string[];
}

/** What no table of costs can decide. */
export const DECISION_CAUTIONS: readonly string[] = [
  "Emissions and anti-tampering law is local: find out what your country and state allow before buying parts. No row here is advice to go against it.",
  "A change of the air meter without a checked calibration can run the engine lean and destroy it: the cost of calibration is part of every row.",
  "The table compares cost and gain. Whether the rest of the car (fuel supply, clutch, brakes) stands the power is not in it.",
];

/** Probability of exceeding the usable signal from which "no headroom left" is said [1]: over in one of twenty such cars. */
const NO_HEADROOM = 0.05;

/**
 * A small table of what changes cost and bring, alone and together.
 *
 * @param options changes; costs in one currency, gains [W]
 * @param currency as it is to be printed
 * @param together combinations to show; all options together when not given and there are several
 * @throws `E_SHAPE` on names, `E_DOMAIN` on costs, and on work of one name that costs differently in two options, `E_TOO_LITTLE_DATA` without options
 */
export function decide(
  options: readonly UpgradeOption[],
  currency: string,
  together?: readonly TogetherOption[],
): DecisionTable {
  checkOptions(options);
  const names = options.map((option) => option.name);
  const combinations = together ?? (options.length > 1 ? [{ options: names }] : []);
  return {
    kind: "decision table",
    currency,
    rows: [
      ...options.map((option) => rowOf([option], option.gain, option.headroom, [])),
      ...combinations.map((combination) => combined(options, combination)),
    ],
    cautions: DECISION_CAUTIONS,
  };
}

function combined(options: readonly UpgradeOption[], combination: TogetherOption): DecisionRow {
  const chosen = combination.options.map((name) => {
    const option = options.find((one) => one.name === name);
    if (option !== undefined) return option;
    throw new BellmouthError({
      code: "E_SHAPE",
      message: "a combination names an option that is not there",
      found: name,
      accepted: options.map((one) => one.name).join(", "),
      at: { path: "together" },
    });
  });
  if (chosen.length < 2 || new Set(combination.options).size !== chosen.length) {
    throw new BellmouthError({
      code: "E_SHAPE",
      message: "a combination is of two options or more, none twice",
      found: combination.options.join(", "),
      accepted: "two or more names",
      at: { path: "together" },
    });
  }
  const gains = chosen.map((option) => option.gain);
  const added = combination.gain === undefined && gains.every((gain) => gain !== null);
  return rowOf(
    chosen,
    combination.gain ?? (added ? sumOfGains(gains as Estimate[]) : null),
    combination.headroom ?? null,
    added ? ["gains added"] : [],
  );
}

/** Sum of independent gains, degrees of freedom after Welch and Satterthwaite. */
function sumOfGains(gains: readonly Estimate[]): Estimate {
  const value = gains.reduce((sum, gain) => sum + gain.value, 0);
  const variance = gains.reduce((sum, gain) => sum + gain.u ** 2, 0);
  const doubt = gains.reduce(
    (sum, gain) => sum + (gain.degreesOfFreedom === null ? 0 : gain.u ** 4 / gain.degreesOfFreedom),
    0,
  );
  const confidence = Math.min(...gains.map((gain) => gain.confidence));
  return interval(value, Math.sqrt(variance), doubt > 0 ? variance ** 2 / doubt : null, confidence);
}

function rowOf(
  options: readonly UpgradeOption[],
  gain: Estimate | null,
  headroom: HeadroomLeft | null,
  flags: DecisionRow["flags"],
): DecisionRow {
  const parts = options.reduce((sum, option) => sum + option.parts, 0);
  const all = options.flatMap((option) => option.work);
  const single = all.reduce((sum, one) => sum + one.cost, 0);
  const once = new Map<string, number>();
  for (const one of all) once.set(nameOf(one.name), one.cost);
  const work = [...once.values()].reduce((sum, cost) => sum + cost, 0);
  const total = parts + work;
  const loss = gain !== null && gain.to !== null && gain.to < 0;
  const unsure = gain !== null && !loss && !(gain.from !== null && gain.from > 0);
  return {
    options: options.map((option) => option.name),
    parts,
    work,
    total,
    saved: single - work,
    gain,
    perKilowatt: gain === null ? null : rate(total, gain, 1000),
    perHorsepower: gain === null ? null : rate(total, gain, HORSEPOWER_W),
    headroom,
    withTheOthers: options.length < 2 ? [] : options.map((option) => addedCost(option, options)),
    flags: [
      ...flags,
      ...(gain === null ? (["gain unknown"] as const) : []),
      ...(loss ? (["loss shown"] as const) : []),
      ...(unsure ? (["gain not distinguishable from zero"] as const) : []),
      ...(headroom !== null && (headroom.flowLeft <= 0 || headroom.probabilityOver > NO_HEADROOM)
        ? (["no headroom left"] as const)
        : []),
    ],
  };
}

function addedCost(option: UpgradeOption, all: readonly UpgradeOption[]): AddedCost {
  const others = new Set(
    all.filter((one) => one !== option).flatMap((one) => one.work.map((work) => nameOf(work.name))),
  );
  const alone = option.work.reduce((sum, work) => sum + work.cost, option.parts);
  const cost = option.work.reduce(
    (sum, work) => sum + (others.has(nameOf(work.name)) ? 0 : work.cost),
    option.parts,
  );
  return {
    option: option.name,
    cost,
    saved: alone - cost,
    perKilowatt: option.gain === null ? null : rate(cost, option.gain, 1000),
  };
}

/** Names are one name whatever their case and the spaces around them. */
const nameOf = (written: string): string => written.trim().toLowerCase();

/** Cost over gain; the cost is taken as exact, so the ends of the gain's interval give the ends, the other way round. */
function rate(total: number, gain: Estimate, unit: number): CostRate {
  const over = (watts: number | null): number | null =>
    watts !== null && watts > 0 ? (total * unit) / watts : null;
  return { value: over(gain.value), from: over(gain.to), to: over(gain.from) };
}

function checkOptions(options: readonly UpgradeOption[]): void {
  if (options.length === 0) {
    throw new BellmouthError({
      code: "E_TOO_LITTLE_DATA",
      message: "there is nothing to decide between",
      found: "no options",
      accepted: "one option or more",
      at: { path: "options" },
    });
  }
  if (new Set(options.map((option) => nameOf(option.name))).size !== options.length) {
    throw new BellmouthError({
      code: "E_SHAPE",
      message: "two options have one name",
      found: options.map((option) => option.name).join(", "),
      accepted: "a name of its own for every option",
      at: { path: "options" },
    });
  }
  const costs = new Map<string, SharedWork>();
  options.forEach((option, i) => {
    requireNumber(option.parts, `options[${i}].parts`, "1", { from: 0 });
    option.work.forEach((work, j) => {
      requireNumber(work.cost, `options[${i}].work[${j}].cost`, "1", { from: 0 });
      const other = costs.get(nameOf(work.name));
      costs.set(nameOf(work.name), work);
      if (other === undefined || other.cost === work.cost) return;
      throw new BellmouthError({
        code: "E_DOMAIN",
        message: "work of one name is paid once, so it has one cost",
        found: `'${other.name}' at ${other.cost} and '${work.name}' at ${work.cost}`,
        accepted: "one cost in all options, or names of their own for work that is not shared",
        at: { path: `options[${i}].work[${j}].cost` },
      });
    });
  });
}
