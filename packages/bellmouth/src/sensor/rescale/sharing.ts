import { BellmouthError } from "../../fault/index.js";
import { type Housing, upstreamPart } from "../housing.js";
import { PROFILE_LENGTH, smoothCorrelation } from "./covariance.js";
import type { Duct, FactorDoubt } from "./duct.js";

// How far the two housings of a swap share their errors. First order and Monte Carlo read it here.

/** Correlation [1] of what inlets of one kind do, and of readings with the very same parts ahead (judgements). */
const ALIKE = 0.8;

/** One part of the profile's doubt: how it is shared between the housings, and how it runs over ln Re. */
export interface SharedPart {
  readonly part: Exclude<keyof FactorDoubt, "distance">;
  /** correlation of the two housings at one Reynolds number [1] */
  readonly shared: number;
  /** correlation length in ln Re [1] */
  readonly length: number;
}

/** Correlation length of what an inlet does, in ln Re [1]: one drift over a table (a judgement). */
const INLET_LENGTH = 2;

/** Whether the very same parts stand ahead of both. */
export const sameAhead = (from: Housing, to: Housing): boolean =>
  from.sameAhead === true || to.sameAhead === true;

/**
 * Checks what two housings say of each other.
 *
 * @throws `E_DOMAIN` when the same parts are said to stand ahead of both and different ones are named
 */
export function checkPair(from: Housing, to: Housing): void {
  const [a, b] = [upstreamPart(from.upstream), upstreamPart(to.upstream)];
  if (!sameAhead(from, to) || a === b) return;
  throw new BellmouthError({
    code: "E_DOMAIN",
    message: "the same parts are said to stand ahead of both housings, and different ones are named",
    found: `'${a}' and '${b}'`,
    accepted: "one name in both, or no same-ahead",
    at: { path: "to.upstream" },
  });
}

/** How the parts of the profile's doubt are shared. */
export function profileSharing(from: Duct, to: Duct): readonly SharedPart[] {
  const long = from.ahead === undefined;
  const oneLaw = long === (to.ahead === undefined);
  const alike = oneLaw && !long && upstreamPart(from.housing.upstream) === upstreamPart(to.housing.upstream);
  return [
    { part: "law", shared: oneLaw ? 1 : 0, length: PROFILE_LENGTH },
    { part: "inlet", shared: alike ? ALIKE : 0, length: INLET_LENGTH },
    { part: "loss", shared: sameAhead(from.housing, to.housing) ? 1 : 0, length: Number.POSITIVE_INFINITY },
    { part: "own", shared: 0, length: PROFILE_LENGTH },
  ];
}

/** Standard deviation of the difference of two errors with that correlation. */
const difference = (a: number, b: number, shared: number): number =>
  Math.sqrt(Math.max(0, a * a + b * b - 2 * shared * a * b));

/** Standard uncertainty of ln(kappa of the old housing / kappa of the new) [1] at the two ln Re, the distances' included. */
export function profileDoubt(
  sharing: readonly SharedPart[],
  old: FactorDoubt,
  now: FactorDoubt,
  xFrom: number,
  xTo: number,
): number {
  const parts = sharing.map(({ part, shared, length }) =>
    difference(old[part], now[part], shared * smoothCorrelation(xFrom, xTo, length)),
  );
  return Math.hypot(...parts, old.distance, now.distance);
}

/** Standard uncertainty of a reading of the one housing over one of the other [1] for what is ahead and for joints. */
export function installationPair(from: Duct, to: Duct): number {
  const shared = sameAhead(from.housing, to.housing) ? ALIKE : 0;
  const [a, b] = [from.installation, to.installation];
  // A joint belongs to its housing, whatever stands ahead.
  return Math.hypot(difference(a.ahead, b.ahead, shared), a.step, b.step);
}
