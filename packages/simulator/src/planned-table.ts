import { makeTransferCurve, type TransferCurve } from "bellmouth/sensor";
import type { Random } from "./random.js";

/** Prior that the planned table's error is drawn from; all relative standard deviations [1]. */
export interface PlanError {
  /** One common factor. */
  readonly scale: number;
  /** Smooth in ln flow, with a correlation length of about `length` [1] (1 is a factor e of flow). */
  readonly smooth: number;
  readonly length: number;
  /** Extra error at the least flow, fading as flow^-fade. */
  readonly lowFlow: number;
  readonly fade: number;
  /** Of each cell on its own: regridding and storage. */
  readonly cell: number;
}

/** About 5 % in all: what a careful rescale leaves; common practice, no source. */
export const usualPlanError: PlanError = {
  scale: 0.03,
  smooth: 0.03,
  length: 1,
  lowFlow: 0.05,
  fade: 0.7,
  cell: 0.001,
};

export interface PlannedTableOptions {
  /** This common factor instead of a drawn one, ln [1]. */
  readonly commonOffset?: number;
  /** Stretch the drawn error to this rms over the cells [1]. */
  readonly rms?: number;
}

/**
 * A planned table: the truth at the ECU's breakpoints times an error drawn from the prior. The cells' budgets state
 * the prior: `bore` the common factor, `profile` the smooth parts, `regrid` the cell's own.
 *
 * The smooth part is a sum of random cosines of ln flow whose wave numbers follow Student's t with five degrees of
 * freedom, the spectrum of a Matern process of order 5/2: as smooth as a housing's flow field, not smoother.
 *
 * @source A. Rahimi, B. Recht, "Random features for large-scale kernel machines", NIPS 2007; spectrum of the Matern
 *   covariance: C. E. Rasmussen, C. K. I. Williams, Gaussian Processes for Machine Learning (2006), eq. 4.15.
 */
export function plannedTable(
  truth: TransferCurve,
  error: PlanError,
  random: Random,
  options: PlannedTableOptions = {},
): TransferCurve {
  const waves = Array.from({ length: 64 }, () => {
    let chi = 0;
    for (let i = 0; i < 5; i++) chi += random.normal() ** 2;
    return { k: random.normal() / Math.sqrt(chi / 5) / error.length, phase: 2 * Math.PI * random.uniform() };
  });
  const smoothAt = (logFlow: number): number =>
    Math.sqrt(2 / waves.length) * waves.reduce((sum, w) => sum + Math.cos(w.k * logFlow + w.phase), 0);
  const drawn = error.scale * random.normal();
  const scale = options.commonOffset ?? drawn;
  const low = random.normal();
  const least = truth.cells.find((cell) => cell.flow > 0)!.flow;
  const fadeAt = (flow: number): number => (Math.max(flow, least) / least) ** -error.fade;
  const off = truth.cells.map(
    ({ flow }) =>
      scale +
      error.smooth * smoothAt(Math.log(Math.max(flow, least))) +
      error.lowFlow * fadeAt(flow) * low +
      error.cell * random.normal(),
  );
  const size = Math.sqrt(off.reduce((sum, value) => sum + value * value, 0) / off.length);
  const stretch = options.rms === undefined ? 1 : options.rms / size;
  let previous = -1;
  const cells = truth.cells.map((cell, i) => {
    // Errors must not fold the table.
    const flow = Math.max(cell.flow * Math.exp(stretch * off[i]!), previous * 1.0001);
    previous = flow;
    return {
      signal: cell.signal,
      flow,
      origin: "rescaled" as const,
      budget: {
        bore: Math.max(error.scale, Math.abs(options.commonOffset ?? 0)),
        profile: Math.hypot(error.smooth, error.lowFlow * fadeAt(cell.flow)),
        regrid: error.cell,
      },
      flags: [],
    };
  });
  return makeTransferCurve({ signal: truth.signal, cells, outside: truth.outside });
}
