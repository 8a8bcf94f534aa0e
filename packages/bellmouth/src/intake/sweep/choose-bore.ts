import { BellmouthError, requireNumber } from "../../fault/index.js";
// Not from the room's index, which brings matrix code with it.
import { normalCdf } from "../../fit/distributions.js";
import type { Length, PressureDifference } from "../../units/index.js";
import type { SweptBore } from "./sweep-bores.js";

/** What a bore must do. Each is a strict bound; those left out do not count, but one must be named. */
export interface BoreLimits {
  /** probability of any demand running past the usable signal [1] */
  readonly probabilityBelow?: number;
  /** share of the usable span that any demand reaches [1] */
  readonly shareBelow?: number;
  /** predicted drop at the demand that makes it largest [Pa]; held when its chance of being above is `DROP_CHANCE` or less */
  readonly dropBelow?: PressureDifference;
  /** flow of one input step at idle over the idle flow [1] */
  readonly idleResolutionBelow?: number;
  /** signal at idle [Hz] or [V] */
  readonly idleSignalAbove?: number;
}

/** Chance [1] of a drop above its limit that a bore may have: the chance from which a demand counts as over in headroom. */
export const DROP_CHANCE = 0.2;

export type BoreLimit = keyof BoreLimits;

/** One bore against the limits. */
export interface JudgedBore {
  /** [m] */
  readonly bore: Length;
  readonly meets: boolean;
  /** The limits it misses, each with what it has and what was asked, in the limit's unit. */
  readonly fails: readonly { readonly limit: BoreLimit; readonly found: number; readonly wanted: number }[];
}

export interface BoreChoice {
  /** Smallest bore that meets every limit [m]; null when none does. */
  readonly bore: Length | null;
  /** Its place in the sweep; null when none does. */
  readonly index: number | null;
  /** One per bore of the sweep, in its order. */
  readonly judged: readonly JudgedBore[];
}

/**
 * Which bore? The smallest one of a sweep that meets every stated limit: room at the top is bought with resolution and
 * steadiness at idle, so no more of it than needed.
 *
 * @param sweep  from `sweepBores`
 * @param limits probabilities and shares [1], drop [Pa], signal [Hz] or [V]
 * @throws `E_TOO_LITTLE_DATA` when no limit is named, or one is on what the sweep was not told (idle, loss); `E_DOMAIN` on a
 *   limit that is no positive number
 */
export function chooseBore(sweep: readonly SweptBore[], limits: BoreLimits): BoreChoice {
  const named = (Object.keys(reads) as BoreLimit[]).filter((limit) => limits[limit] !== undefined);
  if (named.length === 0) lacking("no limit to choose by", "one or more limits", "limits");
  for (const limit of named) {
    requireNumber(limits[limit] as number, `limits.${limit}`, "its unit", { over: 0 });
  }
  const judged = sweep.map((row): JudgedBore => {
    const fails = named.flatMap((limit) => {
      const wanted = limits[limit] as number;
      const found = reads[limit](row);
      if (found === null)
        lacking(`the sweep does not say what limits.${limit} is about`, needs[limit], `limits.${limit}`);
      const met =
        limit === "idleSignalAbove"
          ? found > wanted
          : limit === "dropBelow"
            ? chanceAbove(row, wanted) <= DROP_CHANCE
            : found < wanted;
      return met ? [] : [{ limit, found, wanted }];
    });
    return { bore: row.bore, meets: fails.length === 0, fails };
  });
  let index: number | null = null;
  judged.forEach(({ bore, meets }, i) => {
    const best = index === null ? undefined : judged[index];
    if (meets && (best === undefined || bore < best.bore)) index = i;
  });
  return { bore: index === null ? null : (judged[index] as JudgedBore).bore, index, judged };
}

/** Chance that a bore's drop lies above a limit, normal in its logarithm. */
export function chanceAbove({ drop }: SweptBore, limit: number): number {
  if (drop === null || !(drop.value > 0)) return 0;
  const u = drop.u / drop.value;
  const apart = Math.log(drop.value / limit);
  return u > 0 ? normalCdf(apart / u) : Number(apart >= 0);
}

/** What each limit reads of a bore; null where the sweep was not told. */
const reads: { readonly [limit in BoreLimit]-?: (row: SweptBore) => number | null } = {
  probabilityBelow: ({ scenarios }) => Math.max(...scenarios.map(({ chanceOver }) => chanceOver)),
  shareBelow: ({ scenarios }) => Math.max(...scenarios.map(({ share }) => share)),
  dropBelow: ({ drop }) => drop?.value ?? null,
  idleResolutionBelow: ({ idle }) => idle?.stepShare ?? null,
  idleSignalAbove: ({ idle }) => idle?.signal ?? null,
};

const needs: { readonly [limit in BoreLimit]-?: string } = {
  probabilityBelow: "demands",
  shareBelow: "demands",
  dropBelow: "a loss coefficient or a measured drop in the sweep",
  idleResolutionBelow: "the idle flow and the input's resolution in the sweep",
  idleSignalAbove: "the idle flow in the sweep",
};

function lacking(message: string, accepted: string, path: string): never {
  throw new BellmouthError({ code: "E_TOO_LITTLE_DATA", message, found: "none", accepted, at: { path } });
}
