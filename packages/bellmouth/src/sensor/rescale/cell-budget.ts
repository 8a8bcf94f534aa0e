import { requireNumber } from "../../fault/index.js";
import { type ErrorBudget, mergeBudgets } from "../transfer-curve.js";
import { PROFILE_LENGTH, smoothCorrelation } from "./covariance.js";
import { type Duct, factorDoubt, type SizeEffect } from "./duct.js";

/** Correlation coefficients [1], -1 to 1, of the two housings' errors. */
export interface SwapCorrelation {
  /** of their sizes, first with first and second with second: near 1 when both bores were measured with one gauge whose own error leads */
  readonly bore?: number;
  /** of their developments: near 1 when both sit behind the same inlet */
  readonly development?: number;
}

/** Both coefficients, none where not given. */
export function correlationOf(given: SwapCorrelation = {}): {
  readonly bore: number;
  readonly development: number;
} {
  const one = (name: "bore" | "development"): number =>
    requireNumber(given[name] ?? 0, `correlation.${name}`, "1", { from: -1, to: 1 });
  return { bore: one("bore"), development: one("development") };
}

/** One cell on its way from a housing to another. */
export interface CellMove {
  readonly from: Duct;
  readonly to: Duct;
  /** ln Re in either housing. */
  readonly xFrom: number;
  readonly xTo: number;
  /** The flux law's value in the new housing, at(xTo) when solved exactly. */
  readonly reach: number;
}

/** How a cell's new ln flow answers to errors in ln units. */
export interface CellEffects {
  /** per error of the new housing's flux law, near xTo: over the reach of its own uncertainty, not a tangent */
  readonly gain: number;
  /** per error of ln of the old flow */
  readonly carried: number;
}

/** Standard deviations of the profile's part of the flux [1]: shared by both housings, and each one's own. */
export interface ProfileDoubt {
  readonly law: number;
  readonly own: number;
}

/** Both housings' doubts taken together: the pipe law's error cancels as far as the two stand at the same Re. */
export function profileDoubt(move: CellMove): { doubt: ProfileDoubt; perDevelopment: [number, number] } {
  const old = factorDoubt(move.from, move.xFrom);
  const now = factorDoubt(move.to, move.xTo);
  const shared = smoothCorrelation(move.xFrom, move.xTo, PROFILE_LENGTH);
  return {
    doubt: {
      law: Math.sqrt(Math.max(0, old.law ** 2 + now.law ** 2 - 2 * shared * old.law * now.law)),
      own: Math.hypot(old.own, now.own),
    },
    perDevelopment: [old.perDevelopment, now.perDevelopment],
  };
}

/** Slope of a flux law at x [1], by a difference small against every curvature it has. */
function slopeAt(duct: Duct, x: number): number {
  if (x === Number.NEGATIVE_INFINITY) return 1;
  const h = 1e-4;
  return (duct.law.at(x + h) - duct.law.at(x - h)) / (2 * h);
}

/** What each size's uncertainty does to ln new flow, signed, so that the two sides may be correlated size by size. */
const sizeParts = (sizes: readonly SizeEffect[], area: number, scale: number): number[] =>
  sizes.map((size) => (area * size.area + scale * size.scale) * size.u);
const sumOfSquares = (parts: readonly number[]): number => parts.reduce((sum, part) => sum + part * part, 0);

/**
 * A cell's budget after the move: what the swap adds, joined with what the given table brought.
 * Effects of sizes and development are derivatives. The slope of the new housing's law is taken over plus and minus
 * the whole uncertainty of what it is asked for (GUM 5.1.3 note 2), because in transition a tangent says nothing.
 */
export function cellBudget(
  given: ErrorBudget,
  move: CellMove,
  correlation: Required<SwapCorrelation>,
): ErrorBudget {
  const { from, to } = move;
  const slopeFrom = slopeAt(from, move.xFrom);
  const { doubt, perDevelopment } = profileDoubt(move);
  const [perFrom, perTo] = perDevelopment;
  const developmentFrom = perFrom * from.housing.development.u;
  const developmentTo = -perTo * to.housing.development.u;
  const development =
    developmentFrom ** 2 + developmentTo ** 2 + 2 * correlation.development * developmentFrom * developmentTo;

  let brought = 0;
  for (const part of Object.values(given)) brought += (part ?? 0) ** 2;
  const oldSizes = sizeParts([...from.bore, from.blockage], -1, 1 - slopeFrom);
  const newSizes = sizeParts([...to.bore, to.blockage], 1, -1);
  const whole = Math.sqrt(
    doubt.law ** 2 +
      doubt.own ** 2 +
      development +
      sumOfSquares(oldSizes) +
      sumOfSquares(newSizes) +
      brought * slopeFrom ** 2,
  );
  const gain = gainOver(to, move, whole);

  const boreFrom = sizeParts(from.bore, -gain, gain * (1 - slopeFrom));
  const boreTo = sizeParts(to.bore, gain, 1 - gain);
  const paired = boreFrom.reduce((sum, part, i) => sum + part * (boreTo[i] ?? 0), 0);
  const bore = sumOfSquares(boreFrom) + sumOfSquares(boreTo) + 2 * correlation.bore * paired;
  const blockage = sumOfSquares([
    ...sizeParts([from.blockage], -gain, 0),
    ...sizeParts([to.blockage], gain, 0),
  ]);
  const carried: Record<string, number> = {};
  for (const [component, part] of Object.entries(given)) carried[component] = part * gain * slopeFrom;
  return mergeBudgets(carried, {
    bore: Math.sqrt(Math.max(0, bore)),
    blockage: Math.sqrt(blockage),
    profile: gain * Math.hypot(doubt.law, doubt.own),
    development: gain * Math.sqrt(Math.max(0, development)),
  });
}

/** d ln flow per d ln flux of the new housing over plus and minus `u` [1]; 1 where nothing is unsure or flow is none. */
export function gainOver(to: Duct, move: CellMove, u: number): number {
  if (move.xTo === Number.NEGATIVE_INFINITY) return 1;
  const h = Math.max(u, 1e-4);
  return (to.law.solve(move.reach + h) - to.law.solve(move.reach - h)) / (2 * h);
}
