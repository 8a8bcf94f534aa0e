import { BellmouthError, requireNumber } from "../../fault/index.js";
import { chiSquaredQuantile, seededRandom } from "../../fit/index.js";
import { detectableShift, powerOfTrial } from "./power-of-trial.js";
import type { TrialSide } from "./run.js";
import { leavesOutZero } from "./run-effect.js";
import { effectVariance, suggestOrder } from "./run-order.js";

export interface RunsNeededOptions {
  /** Probability [1] with which the trial is to claim the difference. */
  readonly power: number;
  /** Of the interval [1]; 0.95 for the usual test. */
  readonly confidence: number;
  /** "unknown" plans for the intervals of `compareRuns`, which allow for a drift and a heat soak. */
  readonly drift: "unknown" | "linear" | "none";
  /** Degrees of freedom that runSd was found with [1]: the promise then holds over what it may truly be. Known when not given. */
  readonly degreesOfFreedom?: number | undefined;
  /** How often the part can be exchanged; "often" when not given. */
  readonly swaps?: "often" | "few";
}

export interface RunsNeeded {
  /** runs on each side [1] */
  readonly perSide: number;
  readonly order: readonly TrialSide[];
  /** probability that such a trial claims the wanted difference [1] */
  readonly power: number;
  /** smallest difference that it claims with the wanted probability, in the unit of `wanted` */
  readonly detectable: number;
}

/** Most runs on a side that are proposed: past this the answer is a steadier car or road, not more runs. */
const MOST = 100;

/** Most runs of a trial whose interval is simulated; with more, the t test is near enough. */
const SIMULATED = 16;
const DRAWS = 1500;
const SEED = 20;

/**
 * Runs that would show a wanted difference.
 *
 * @param wanted difference to be seen [Pa] or [K], > 0
 * @param runSd  standard deviation of one run about another of the same car [same unit], > 0: from a trial
 *   (`TrialResult.runSd`) or from repeated runs without a change
 * @returns null when more than 100 runs on a side would be needed
 * @throws `E_DOMAIN`
 * @example
 * runsNeeded(1, 1, { power: 0.8, confidence: 0.95, drift: "none" }).perSide // ≈ 17
 */
export function runsNeeded(wanted: number, runSd: number, options: RunsNeededOptions): RunsNeeded | null {
  requireNumber(wanted, "wanted", "Pa or K", { over: 0 });
  requireNumber(runSd, "runSd", "Pa or K", { over: 0 });
  const { power, confidence, drift, degreesOfFreedom } = options;
  requireNumber(power, "power", "1", { over: 1 - confidence, under: 1 });
  if (degreesOfFreedom !== undefined) requireNumber(degreesOfFreedom, "degreesOfFreedom", "1", { over: 0 });
  const coefficients = drift === "linear" ? 3 : 2;
  const spreads = spreadsOf(degreesOfFreedom);
  for (let perSide = 1; perSide <= MOST; perSide++) {
    const freedom = 2 * perSide - coefficients;
    if (freedom < 1) continue;
    const order = suggestOrder(perSide, options.swaps);
    const u = runSd * Math.sqrt(effectVariance(order, drift === "unknown" ? "none" : drift));
    const reach = (shift: number): number =>
      spreads.reduce((sum, s) => sum + powerOfTrial(shift / s, freedom, confidence), 0) / spreads.length;
    // The t test without a drift is the most that the intervals with one can reach.
    if (reach(wanted / u) < power) continue;
    const reached =
      drift === "unknown" && order.length <= SIMULATED
        ? simulatedPower(wanted / runSd, order, confidence, degreesOfFreedom)
        : reach(wanted / u);
    if (reached >= power) {
      return { perSide, order, power: reached, detectable: u * detectableShift(power, freedom, confidence) };
    }
  }
  return null;
}

/** What the true standard deviation may be over the one found: quantiles of the root of freedom over chi-squared. */
function spreadsOf(freedom: number | undefined): number[] {
  if (freedom === undefined) return [1];
  const count = 40;
  return Array.from({ length: count }, (_, i) =>
    Math.sqrt(freedom / chiSquaredQuantile((i + 0.5) / count, freedom)),
  );
}

/** Share of simulated trials in this order whose interval leaves out zero: what `compareRuns` would claim. */
function simulatedPower(
  wanted: number,
  order: readonly TrialSide[],
  confidence: number,
  freedom: number | undefined,
): number {
  const random = seededRandom(SEED);
  const spreads = spreadsOf(freedom);
  const table = {
    after: order.map((side) => side === "after"),
    // Ten minutes from run to run.
    time: order.map((_, r) => 600 * r),
  };
  let claims = 0;
  for (let draw = 0; draw < DRAWS; draw++) {
    const sd = spreads[Math.floor(spreads.length * random.uniform())] as number;
    const values = table.after.map((after) => (after ? wanted : 0) + sd * random.normal());
    if (leavesOutZero(values, table, confidence)) claims++;
  }
  return claims / DRAWS;
}

/** Checks a power argument; shared by the comparison and its planning. */
export function requirePower(power: number, confidence: number): number {
  if (power > 1 - confidence && power < 1) return power;
  throw new BellmouthError({
    code: "E_DOMAIN",
    message: "the power of a trial is the probability of seeing a true difference",
    found: String(power),
    accepted: `over ${(1 - confidence).toFixed(2)} and under 1; 0.8 is usual`,
    at: { path: "power" },
  });
}
