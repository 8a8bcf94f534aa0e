import { BellmouthError } from "../../fault/index.js";
import type { CellFlag, TransferCell, TransferCurve } from "../../sensor/index.js";
import { adviseNext } from "./advice.js";
import { cellForm } from "./cell-form.js";
import { evidenced } from "./evidence.js";
import { findSuspects } from "./find-suspects.js";
import { guardRails } from "./guard-rails.js";
import { empiricalPosterior, type Posterior } from "./posterior.js";
import { type PriorParts, priorOf } from "./prior.js";
import type { RefinedCell, RefineOptions, RefineResult, RefineSums } from "./types.js";
import { judge } from "./verdict.js";

/** Two-sided 95 % [1]. */
const z95 = 1.959964;

/** Prior parts in force: an earlier pass's covariance counts as shape. */
export function partsOf(curve: TransferCurve, options: RefineOptions): PriorParts {
  if (options.prior === undefined) return priorOf(curve);
  const n = curve.cells.length;
  const zero = new Float64Array(n * n);
  return { common: zero, shape: Float64Array.from(options.prior), own: zero };
}

/**
 * Refines a table from sums: posterior of every cell, guard rails, what else is wrong, what to drive next.
 *
 * @param curve the table the sums were made with; its error budgets are the prior
 * @throws `E_SHAPE` when the sums are about another table, `E_SINGULAR` when the posterior cannot be solved for
 */
export function solveRefinement(
  curve: TransferCurve,
  sums: RefineSums,
  options: RefineOptions = {},
): RefineResult {
  const { cells } = curve;
  const n = cells.length;
  if (sums.table.flow.length !== n || !cells.every((cell, i) => cell.flow === sums.table.flow[i]))
    throw new BellmouthError({
      code: "E_SHAPE",
      message: "the sums were made with another table",
      found: `${sums.table.flow.length} cells`,
      accepted: `the ${n} cells of the table given`,
      at: { path: "sums" },
    });
  const parts = partsOf(curve, options);
  const { matrix, vector } = cellForm(sums);
  const posterior = empiricalPosterior(parts, matrix, vector, n);
  if (posterior === null)
    throw new BellmouthError({
      code: "E_SINGULAR",
      message: "the prior covariance is not positive definite",
      at: { path: "options.prior" },
    });
  const found = findSuspects(curve, sums, parts, posterior);
  const { mean, covariance } = found.accepted ?? posterior;
  const fuel = options.fuelScale ?? { value: 0, u: 0 };
  // What fuel explains is not the air's: the common factor told by the old meter's drive is taken off every cell alike.
  const estimate = Array.from(mean, (value) => value - fuel.value);
  const variance = (i: number): number => covariance[i * n + i]! + fuel.u ** 2;
  const rails = guardRails(
    cells.map((cell) => cell.flow),
    estimate,
    options.largestChange ?? 0.2,
  );
  const refined = cells.map((cell, i): RefinedCell => {
    const u = Math.sqrt(Math.max(0, variance(i)));
    const priorU = Math.sqrt(posterior.prior[i * n + i]!);
    const centre = cell.flow * Math.exp(estimate[i]!);
    return {
      signal: cell.signal,
      before: cell.flow,
      after: rails.flow[i]!,
      low: centre * Math.exp(-z95 * u),
      high: centre * Math.exp(z95 * u),
      u,
      priorU,
      seconds: sums.seconds[i]!,
      seen: sums.seen[i]!.weight > 0 ? Math.exp(sums.seen[i]!.sum / sums.seen[i]!.weight - fuel.value) : null,
      evidence: Math.max(0, 1 - covariance[i * n + i]! / posterior.prior[i * n + i]!),
      held: rails.held[i]!,
    };
  });
  const used = sums.drives.filter((drive) => drive.refused === null);
  const spoke = refined.map((cell) => used.length > 0 && evidenced(cell));
  const result: Omit<RefineResult, "verdicts" | "next"> = {
    kind: "refinement",
    curve: {
      ...curve,
      cells: cells.map((cell, i) => refinedCell(cell, refined[i]!, spoke[i]!)),
    },
    cells: refined,
    covariance: Array.from(covariance, (value) => value + fuel.u ** 2),
    priorScales: posterior.scales,
    common: commonOf({ ...posterior, mean, covariance }, spoke),
    suspects: found.findings,
    drives: sums.drives,
  };
  return {
    ...result,
    verdicts: judge(sums, result, found, options),
    next: adviseNext(sums, refined, covariance),
  };
}

function refinedCell(cell: TransferCell, refined: RefinedCell, spoke: boolean): TransferCell {
  const flags = cell.flags.filter((flag): flag is CellFlag => flag !== "no evidence");
  const flow = refined.after;
  if (!spoke) return { ...cell, flow, flags: [...flags, "no evidence"] };
  return {
    signal: cell.signal,
    flow,
    origin: "refined",
    budget: { refinement: refined.u },
    flags: flags.filter((flag) => flag !== "extrapolated"),
  };
}

/** Common factor of the evidenced cells, weighted evenly [1]. */
function commonOf(posterior: Posterior, spoke: readonly boolean[]): { value: number; u: number } {
  const n = spoke.length;
  const places = spoke.flatMap((yes, i) => (yes ? [i] : []));
  if (places.length === 0) return { value: 0, u: Math.sqrt(posterior.prior[0] ?? 0) };
  let value = 0;
  let variance = 0;
  for (const i of places) {
    value += posterior.mean[i]! / places.length;
    for (const j of places) variance += posterior.covariance[i * n + j]! / places.length ** 2;
  }
  return { value, u: Math.sqrt(variance) };
}
