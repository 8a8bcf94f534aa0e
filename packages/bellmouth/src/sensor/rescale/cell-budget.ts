import { requireNumber } from "../../fault/index.js";
import { type ErrorBudget, mergeBudgets } from "../transfer-curve.js";
import { type Duct, EVENING_U, factorDoubt, type SizeEffect } from "./duct.js";
import { installationPair, profileDoubt, type SharedPart } from "./sharing.js";

/** Correlation coefficients [1], -1 to 1, of the two housings' errors. */
export interface SwapCorrelation {
  /** of their sizes, first with first and second with second: near 1 when both bores were measured with one gauge whose own error leads */
  readonly bore?: number;
}

/** Every coefficient, none where not given. */
export const correlationOf = (given: SwapCorrelation = {}): Required<SwapCorrelation> => ({
  bore: requireNumber(given.bore ?? 0, "correlation.bore", "1", { from: -1, to: 1 }),
});

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
 * Effects of sizes are derivatives. The slope of the new housing's law is taken over plus and minus the whole uncertainty
 * of what it is asked for (GUM 5.1.3 note 2), because in a long pipe's transition a tangent says nothing.
 */
export function cellBudget(
  given: ErrorBudget,
  move: CellMove,
  sharing: readonly SharedPart[],
  correlation: Required<SwapCorrelation>,
): ErrorBudget {
  const { from, to } = move;
  const slopeFrom = slopeAt(from, move.xFrom);
  const doubts = [factorDoubt(from, move.xFrom), factorDoubt(to, move.xTo)] as const;
  const profile = profileDoubt(sharing, ...doubts, move.xFrom, move.xTo);
  const installation = installationPair(from, to);
  const evening = EVENING_U * (to.evening - from.evening);

  let brought = 0;
  for (const part of Object.values(given)) brought += (part ?? 0) ** 2;
  const oldSizes = sizeParts([...from.bore, from.blockage], -1, 1 - slopeFrom);
  const newSizes = sizeParts([...to.bore, to.blockage], 1, -1);
  const whole = Math.sqrt(
    profile ** 2 +
      installation ** 2 +
      evening ** 2 +
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
    gain * evening,
  ]);
  const carried: Record<string, number> = {};
  for (const [component, part] of Object.entries(given)) carried[component] = part * gain * slopeFrom;
  return mergeBudgets(carried, {
    bore: Math.sqrt(Math.max(0, bore)),
    blockage: Math.sqrt(blockage),
    profile: gain * profile,
    installation: gain * installation,
  });
}

/** d ln flow per d ln flux of the new housing over plus and minus `u` [1]; 1 where nothing is unsure or flow is none. */
export function gainOver(to: Duct, move: CellMove, u: number): number {
  if (move.xTo === Number.NEGATIVE_INFINITY) return 1;
  const h = Math.max(u, 1e-4);
  return (to.law.solve(move.reach + h) - to.law.solve(move.reach - h)) / (2 * h);
}
