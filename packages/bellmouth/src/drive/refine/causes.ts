import type { Averaged, Evidences } from "./average.js";
import { nodeAt } from "./field.js";
import type { CauseColumn } from "./posterior.js";
import { parts } from "./record-form.js";
import type { Reference } from "./reference.js";
import type { Counted } from "./totals.js";
import { type CauseFinding, type FieldRegion, type PossibleCause, possibleCauses } from "./types.js";
import type { Driven } from "./where-driven.js";

/**
 * ln of the odds from which a name is earned: 20 to 1; 1000 to 1 where a field over speed and load explains the drives too.
 *
 * @source R. E. Kass, A. E. Raftery, J. Am. Stat. Assoc. 90 (1995) 773-795: from 20 to 1 on, evidence is called strong.
 */
export const strongOdds = 3;
const certainOdds = 7;
/** How many standard uncertainties a cause's size must be from nothing. */
const leastSize = 3;
/** Time under load from which a leak is told from the table [s]: with less it rests on a few rows of passing load. */
const leastLoaded = 100;

/** Prior spread of each cause's size, what would shift the least driven flow by a tenth, a leak by a quarter; null where no drive tells. */
export function causeColumnsOf(
  { drives }: Counted,
  driven: Driven,
  reference: Reference,
): (CauseColumn | null)[] {
  const first = driven.seconds.findIndex((time) => time > 0.5);
  const k = Math.max(0, first);
  const flow = reference.knots.flow[k]!;
  const speed = driven.time[k]! > 0 ? driven.speed[k]! / driven.time[k]! : 15;
  const spreads: { readonly [cause in PossibleCause]: number } = {
    leak: 0.25 * flow,
    "injector offset": (0.1 * flow) / speed,
    "exhaust leak": 0.1,
  };
  return possibleCauses.map((cause, index) => {
    const at = parts.causes + index;
    const tells = drives.some(({ record }) => record.matrix[(at * (at + 1)) / 2 + at]! > 0);
    return tells ? { index, spread: spreads[cause] } : null;
  });
}

export interface Naming {
  readonly causes: readonly CauseFinding[];
  readonly named: CauseFinding | null;
  /** Place of the named cause among the possible ones. */
  readonly index: number;
  /** Where only a field over speed and load explains the drives; null where it does not. */
  readonly region: FieldRegion | null;
  /** True where a cause is named, or a field over speed and load explains the drives better than the table alone. */
  readonly beside: boolean;
}

const best = ({ alone, field }: Evidences): number => Math.max(alone, field);

/** A cause is named only where it explains the drives better than the table, a field, and every other cause. */
export function nameCause(averaged: Averaged, driven: Driven): Naming {
  const { evidence, causes: weighed } = averaged;
  const without = best(evidence);
  const fieldWins = evidence.field > evidence.alone + strongOdds;
  const causes = possibleCauses.map((cause, k): CauseFinding => {
    const { size, u } = weighed[k]!;
    const others = weighed.reduce((most, one, j) => (j === k ? most : Math.max(most, best(one))), without);
    return { cause, size, u, logOdds: best(weighed[k]!) - others, named: false };
  });
  const earned = (one: CauseFinding, k: number): boolean => {
    const { size, u, cause } = one;
    const large = cause === "injector offset" ? Math.abs(size) > leastSize * u : size > leastSize * u;
    const told = cause !== "leak" || driven.loaded >= leastLoaded;
    const over = best(weighed[k]!) - without;
    return told && large && over > (fieldWins ? certainOdds : strongOdds) && one.logOdds > strongOdds;
  };
  const index = causes.findIndex(earned);
  const named = index < 0 ? null : { ...causes[index]!, named: true };
  const strongest = weighed.reduce((most, one) => Math.max(most, one.alone), evidence.alone);
  const unnamed = named === null && evidence.field > strongest + strongOdds;
  return {
    causes: causes
      .map((one, k) => (k === index && named !== null ? named : one))
      .filter((_, k) => Number.isFinite(best(weighed[k]!))),
    named,
    index,
    beside: named !== null || fieldWins,
    region: unnamed ? regionOf(averaged, driven, evidence.field - strongest) : null,
  };
}

/** Share of the most driven node's weight from which a node counts as driven [1]. */
const drivenNode = 0.005;

/** The driven node where the field is largest. */
function regionOf({ field, nodeWeights }: Averaged, driven: Driven, logOdds: number): FieldRegion | null {
  let most = 0;
  for (const weight of nodeWeights) if (weight > most) most = weight;
  let k = -1;
  field.nodes.forEach((value, node) => {
    if (nodeWeights[node]! < drivenNode * most) return;
    if (k < 0 || Math.abs(value) > Math.abs(field.nodes[k]!)) k = node;
  });
  if (k < 0) return null;
  const { speed, load } = nodeAt(k);
  return {
    speed,
    pressureRatio: load,
    pressure: load * driven.outside,
    size: field.nodes[k]!,
    logOdds,
  };
}
