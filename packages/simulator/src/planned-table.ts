import { makeTransferCurve, type TransferCurve } from "bellmouth/sensor";
import type { Random } from "./random.js";

/** Prior that the planned table's error is drawn from; all relative standard deviations [1]. */
export interface PlanError {
  /** One common factor. */
  readonly scale: number;
  /** Smooth in ln flow, with a correlation length of about `length` [1] (1 is a factor e of flow). */
  readonly smooth: number;
  readonly length: number;
  /** Extra smooth error at the least flow, fading as flow^-fade. */
  readonly lowFlow: number;
  readonly fade: number;
}

/** About 5 % in all: what a careful rescale leaves; common practice, no source. */
export const usualPlanError: PlanError = { scale: 0.03, smooth: 0.03, length: 1, lowFlow: 0.05, fade: 0.7 };

/**
 * A planned table: the truth at the ECU's breakpoints times an error drawn from the prior. The cells' budgets state
 * the prior: `bore` the common factor, `profile` the smooth parts.
 *
 * The smooth part is a sum of random cosines of ln flow (a random Fourier series of a squared-exponential process):
 * deliberately another way than a covariance matrix.
 *
 * @source A. Rahimi, B. Recht, "Random features for large-scale kernel machines", NIPS 2007.
 */
export function plannedTable(
  truth: TransferCurve,
  error: PlanError,
  random: Random,
  commonOffset?: number,
): TransferCurve {
  const waves = Array.from({ length: 64 }, () => ({
    k: random.normal() / error.length,
    phase: 2 * Math.PI * random.uniform(),
  }));
  const smoothAt = (logFlow: number): number =>
    Math.sqrt(2 / waves.length) * waves.reduce((sum, w) => sum + Math.cos(w.k * logFlow + w.phase), 0);
  const scale = commonOffset ?? error.scale * random.normal();
  const low = random.normal();
  const least = truth.cells.find((cell) => cell.flow > 0)!.flow;
  let previous = -1;
  const cells = truth.cells.map((cell) => {
    const flow = Math.max(cell.flow, least);
    const fade = (flow / least) ** -error.fade;
    const off = scale + error.smooth * smoothAt(Math.log(flow)) + error.lowFlow * fade * low;
    // Errors must not fold the table.
    const value = Math.max(cell.flow * Math.exp(off), previous * 1.0001);
    previous = value;
    return {
      signal: cell.signal,
      flow: value,
      origin: "rescaled" as const,
      budget: {
        bore: commonOffset === undefined ? error.scale : Math.max(error.scale, Math.abs(commonOffset)),
        profile: Math.hypot(error.smooth, error.lowFlow * fade),
      },
      flags: [],
    };
  });
  return makeTransferCurve({ signal: truth.signal, cells, outside: truth.outside });
}
