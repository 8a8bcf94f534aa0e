import { BellmouthError } from "../../fault/index.js";
import type { CellFlag, TransferCell, TransferCurve } from "../../sensor/index.js";
import { adviseNext } from "./advice.js";
import { type Averaged, averageOver } from "./average.js";
import { causeColumnsOf, type Naming, nameCause } from "./causes.js";
import { drivenNear, holdEdges, leastDriven } from "./edge.js";
import { evidenced } from "./evidence.js";
import { untoldVariance } from "./field.js";
import { findingsOf } from "./findings.js";
import { executedError, fitCells, railed } from "./fit-cells.js";
import { type PriorBasis, priorBasis } from "./posterior.js";
import { type KnotPrior, knotPrior, priorOf } from "./prior.js";
import { knotCount, placeAmong, type Reference, readAt, referenceOf } from "./reference.js";
import { type Counted, countOnce } from "./totals.js";
import type { Knowledge, RefinedCell, RefineOptions, RefineResult, RefineSums } from "./types.js";
import { type Driven, drivenOf, toCells } from "./where-driven.js";

/** Two-sided 95 % [1]. */
const z95 = 1.959964;
/** Standard uncertainty of what lambda cannot tell from air while no drive with the old meter does [1]: fuel, its stoichiometry, the lambda sensor. */
export const untoldScale = 0.015;
/** A lean move at high load needs certainty: above this u [1] it ends at its own 95 % one-sided bound. */
const leanCertain = 0.012;
const oneSided = 1.645;
/** High load begins at this share of the highest driven flow [1]. */
const highLoad = 0.6;

interface Prepared {
  readonly reference: Reference;
  readonly prior: KnotPrior;
  readonly basis: PriorBasis;
}

function prepared(curve: TransferCurve, options: RefineOptions): Prepared {
  const reference = referenceOf(curve);
  const prior = knotPrior(curve, options, reference.x);
  const basis = priorBasis(prior.parts, knotCount);
  if (basis === null)
    throw new BellmouthError({
      code: "E_SINGULAR",
      message: "the prior covariance is not positive definite",
      at: { path: "options.prior" },
    });
  return { reference, prior, basis };
}

/**
 * Refines a table from what drives tell: the curve's posterior, the values to type in, what else is wrong, what to drive next.
 *
 * @param curve the table that the sums are about; its error budgets are the prior
 * @throws `E_SHAPE` when the sums are about another table, `E_SINGULAR` when the posterior cannot be solved for
 */
export function solveRefinement(
  curve: TransferCurve,
  sums: RefineSums,
  options: RefineOptions = {},
): RefineResult {
  const { reference, prior, basis } = prepared(curve, options);
  const { flow, signal } = reference.knots;
  if (
    !flow.every((value, k) => value === sums.reference.flow[k]) ||
    !signal.every((value, k) => value === sums.reference.signal[k])
  )
    throw new BellmouthError({
      code: "E_SHAPE",
      message: "the evidence is about another table",
      found: `a curve from ${sums.reference.flow[0]} to ${sums.reference.flow.at(-1)} kg/s`,
      accepted: "evidence made with the table given, or with it as `reference`",
      at: { path: "sums" },
    });
  const counted = countOnce(sums);
  const driven = drivenOf(counted, reference);
  const averaged = averageOver(basis, counted, prior.mean, causeColumnsOf(counted, driven, reference));
  const naming = nameCause(averaged, driven);
  const trimsOnly = counted.drives.every(({ record }) => record.summary.source === "trims");
  const told = curveOf(averaged, prior, reference, driven, naming, trimsOnly);
  const fitted = tableOf(curve, reference, told, driven, options);
  return resultOf({ curve, sums, options, reference, counted, driven, averaged, naming, told, fitted });
}

/** The curve as told: about the reference, at the knots. */
export interface ToldCurve {
  /** ln(true/reference flow) of the curve without any cause [1]. */
  readonly mean: Float64Array;
  /** Covariance without a cause, row-major, and the half widths of the hull with the named cause's interval [1]. */
  readonly covariance: Float64Array;
  readonly low: Float64Array;
  readonly high: Float64Array;
  /** What is to be executed, before rails and what fuel explains: never leaner than `mean` for a cause [1]. */
  readonly wanted: Float64Array;
  /** The same without the cause. */
  readonly bare: Float64Array;
  readonly isDriven: readonly boolean[];
}

function curveOf(
  averaged: Averaged,
  prior: KnotPrior,
  reference: Reference,
  driven: Driven,
  naming: Naming,
  trimsOnly: boolean,
): ToldCurve {
  const n = knotCount;
  const isDriven = Array.from(drivenNear(driven.seconds, reference.x), (time) => time >= leastDriven);
  const finish = (posterior: Averaged["posterior"]): { mean: Float64Array; covariance: Float64Array } => {
    const mean = Float64Array.from(posterior.mean);
    const covariance = Float64Array.from(posterior.covariance);
    holdEdges(mean, covariance, prior.edge, isDriven);
    return { mean: mean.map((value, k) => value + prior.mean[k]!), covariance };
  };
  const table = finish(averaged.posterior);
  const uBefore = Float64Array.from({ length: n }, (_, k) => Math.sqrt(table.covariance[k * (n + 1)]!));
  const cause = naming.named === null ? null : finish(averaged.withCause(naming.index));
  const { fieldPrior: field, fieldVariance } = averaged;
  if (field !== null && fieldVariance > 0)
    for (const form of cause === null ? [table] : [table, cause])
      for (let k = 0; k < n; k++)
        form.covariance[k * (n + 1)] =
          form.covariance[k * (n + 1)]! +
          fieldVariance * untoldVariance(field, reference.x[k]! - driven.lnFilling);
  const half = (covariance: Float64Array, k: number): number => z95 * Math.sqrt(covariance[k * (n + 1)]!);
  const top = isDriven.lastIndexOf(true);
  const from = top < 0 ? Number.POSITIVE_INFINITY : reference.x[top]! + Math.log(highLoad);
  const capped = (m: number, k: number): number => {
    if (!(m < 0)) return m;
    const atLoad = reference.x[k]! >= from && uBefore[k]! > leanCertain ? uBefore[k]! : 0;
    // Where something else than the table is at work, or only trims tell, a lean move is made as far as it is certain, at any load.
    const u = Math.max(atLoad, naming.beside || trimsOnly ? Math.sqrt(table.covariance[k * (n + 1)]!) : 0);
    return Math.max(m, Math.min(0, m + oneSided * u));
  };
  const low = new Float64Array(n);
  const high = new Float64Array(n);
  const wanted = new Float64Array(n);
  const bare = new Float64Array(n);
  for (let k = 0; k < n; k++) {
    const m = table.mean[k]!;
    const c = cause === null ? m : cause.mean[k]!;
    low[k] = Math.min(m - half(table.covariance, k), cause === null ? m : c - half(cause.covariance, k));
    high[k] = Math.max(m + half(table.covariance, k), cause === null ? m : c + half(cause.covariance, k));
    bare[k] = capped(m, k);
    wanted[k] = Math.max(bare[k]!, c);
  }
  return { mean: table.mean, covariance: table.covariance, low, high, wanted, bare, isDriven };
}

interface FittedTable {
  readonly flow: readonly number[];
  readonly held: readonly RefinedCell["held"][];
  readonly executed: ReturnType<typeof executedError>;
}

/** The values to type in, inside the rails. */
function tableOf(
  curve: TransferCurve,
  reference: Reference,
  told: ToldCurve,
  driven: Driven,
  options: RefineOptions,
): FittedTable {
  const fuel = options.fuelScale?.value ?? 0;
  const less = (values: Float64Array): Float64Array => values.map((value) => value - fuel);
  const bare = fitCells(curve, reference, less(told.bare), driven.seconds);
  const withCause = fitCells(curve, reference, less(told.wanted), driven.seconds);
  // What a fit of straight lines makes of a rise beside a cell must not lean that cell.
  const wanted = bare.map((flow, i) => Math.max(flow, withCause[i]!));
  const silent = told.isDriven.every((yes) => !yes);
  const rails = railed(
    curve,
    silent ? curve.cells.map(({ flow }) => flow) : wanted,
    options.largestChange ?? 0.2,
  );
  const at = (values: Float64Array, i: number): number =>
    readAt(values, reference.x, reference.lnFlow(curve.cells[i]!.signal));
  return {
    flow: rails.flow,
    held: rails.held.map((held, i) => {
      if (held !== null) return held;
      if (at(told.wanted, i) > at(told.bare, i) + 1e-4) return "possible cause";
      return at(told.bare, i) > at(told.mean, i) + 1e-4 ? "uncertain lean move" : null;
    }),
    executed: executedError(curve, rails.flow, reference, less(told.mean), driven.seconds),
  };
}

/** All that a result is made of. */
export interface Solved {
  readonly curve: TransferCurve;
  readonly sums: RefineSums;
  readonly options: RefineOptions;
  readonly reference: Reference;
  readonly counted: Counted;
  readonly driven: Driven;
  readonly averaged: Averaged;
  readonly naming: Naming;
  readonly told: ToldCurve;
  readonly fitted: FittedTable;
}

/** Covariance of two places read between knots [1]. */
function between(
  covariance: Float64Array,
  a: ReturnType<typeof placeAmong>,
  b: ReturnType<typeof placeAmong>,
): number {
  const n = knotCount;
  const at = (r: number, c: number): number => covariance[(a.left + r) * n + b.left + c]!;
  return (
    (1 - a.share) * ((1 - b.share) * at(0, 0) + b.share * at(0, 1)) +
    a.share * ((1 - b.share) * at(1, 0) + b.share * at(1, 1))
  );
}

function resultOf(solved: Solved): RefineResult {
  const { curve, sums, options, reference, counted, averaged, naming, told } = solved;
  const { cells, covariance } = cellsOf(solved);
  const spoke = cells.map((cell) => counted.drives.length > 0 && evidenced(cell));
  const fuel = options.fuelScale;
  const scale = fuel?.u ?? untoldScale;
  const result: Omit<RefineResult, "findings" | "next"> = {
    kind: "refinement",
    curve: {
      ...curve,
      cells: curve.cells.map((cell, i) => refinedCell(cell, cells[i]!, spoke[i]!, scale)),
    },
    cells,
    knowledge: knowledgeOf(told, reference, fuel?.value ?? 0),
    priorScales: averaged.posterior.scales,
    common: commonOf(cells, covariance, spoke, fuel?.value ?? 0),
    spread: { drives: Math.sqrt(averaged.driveVariance), field: Math.sqrt(averaged.fieldVariance) },
    causes: naming.causes,
    named: naming.named,
    region: naming.region,
    drives: sums.drives.map(({ summary }) => summary),
  };
  return {
    ...result,
    findings: findingsOf(result, solved, spoke),
    next: adviseNext(toCells(solved.driven, curve, reference), cells, covariance),
  };
}

function cellsOf({ curve, options, reference, driven, averaged, told, fitted }: Solved): {
  readonly cells: readonly RefinedCell[];
  readonly covariance: Float64Array;
} {
  const fuel = options.fuelScale;
  const scale = fuel?.u ?? untoldScale;
  const n = curve.cells.length;
  const places = curve.cells.map(({ signal }) => placeAmong(reference.x, reference.lnFlow(signal)));
  const exact = options.prior === undefined ? priorOf(curve) : null;
  const { common, shape } = averaged.posterior.scales;
  const knots = averaged.prior;
  const covariance = new Float64Array(n * n);
  for (let i = 0; i < n; i++)
    for (let j = 0; j <= i; j++) {
      const value = between(told.covariance, places[i]!, places[j]!);
      covariance[i * n + j] = value;
      covariance[j * n + i] = value;
    }
  const near = toCells(driven, curve, reference);
  const read = (values: Float64Array, i: number): number => {
    const { left, share } = places[i]!;
    return (1 - share) * values[left]! + share * values[left + 1]!;
  };
  const cells = curve.cells.map((cell, i): RefinedCell => {
    const atKnots =
      common * between(knots.common, places[i]!, places[i]!) +
      shape * between(knots.shape, places[i]!, places[i]!);
    const prior =
      exact === null ? atKnots : common * exact.common[i * (n + 1)]! + shape * exact.shape[i * (n + 1)]!;
    // What cells have of their own and the knots do not resolve stays unknown.
    const unresolved = Math.max(0, prior - atKnots);
    covariance[i * (n + 1)] = covariance[i * (n + 1)]! + unresolved;
    const m = read(told.mean, i) - (fuel?.value ?? 0);
    const own = Math.sqrt(unresolved) * z95;
    const low = Math.hypot(read(told.mean, i) - read(told.low, i), own);
    const high = Math.hypot(read(told.high, i) - read(told.mean, i), own);
    const uShape = Math.max(low, high) / z95;
    const flow = cell.flow > 0 ? Math.exp(reference.lnFlow(cell.signal)) : 0;
    const seen = near.seen[i]!;
    return {
      signal: cell.signal,
      before: cell.flow,
      after: fitted.flow[i]!,
      mean: flow * Math.exp(m),
      shape: { low: flow * Math.exp(m - low), high: flow * Math.exp(m + high) },
      low: flow * Math.exp(m - Math.hypot(low, z95 * scale)),
      high: flow * Math.exp(m + Math.hypot(high, z95 * scale)),
      u: Math.hypot(uShape, scale),
      uShape,
      priorU: Math.sqrt(prior),
      executed: fitted.executed[i]!,
      seconds: near.seconds[i]!,
      seen: seen.weight > 0 ? Math.exp(seen.sum / seen.weight - (fuel?.value ?? 0)) : null,
      evidence: Math.min(1, Math.max(0, 1 - uShape ** 2 / prior)),
      held: fitted.held[i]!,
    };
  });
  return { cells, covariance };
}

function refinedCell(cell: TransferCell, refined: RefinedCell, spoke: boolean, scale: number): TransferCell {
  const flags = cell.flags.filter((flag): flag is CellFlag => flag !== "no evidence");
  const flow = refined.after;
  // The scale that lambda cannot tell is the table's own accuracy: smooth over all of it.
  if (!spoke)
    return {
      ...cell,
      flow,
      budget: { refinement: refined.uShape, element: scale },
      flags: [...flags, "no evidence"],
    };
  return {
    signal: cell.signal,
    flow,
    origin: "refined",
    budget: { refinement: refined.uShape, element: scale },
    flags: flags.filter((flag) => flag !== "extrapolated"),
  };
}

/** Digits of what is handed to the next pass [1]. */
const knowledgeDigits = 10;

function knowledgeOf(told: ToldCurve, reference: Reference, fuel: number): Knowledge {
  const n = knotCount;
  const covariance: number[] = [];
  for (let r = 0; r < n; r++)
    for (let c = 0; c <= r; c++)
      covariance.push(Number(told.covariance[r * n + c]!.toPrecision(knowledgeDigits)));
  return {
    signal: reference.knots.signal,
    flow: Array.from(told.mean, (value, k) => reference.knots.flow[k]! * Math.exp(value - fuel)),
    covariance,
  };
}

/** Common factor of the evidenced cells, weighted evenly [1]. */
function commonOf(
  cells: readonly RefinedCell[],
  covariance: Float64Array,
  spoke: readonly boolean[],
  fuel: number,
): { value: number; u: number } {
  const n = spoke.length;
  const places = spoke.flatMap((yes, i) => (yes && cells[i]!.before > 0 ? [i] : []));
  if (places.length === 0) return { value: 0, u: cells.at(-1)?.priorU ?? 0 };
  let value = 0;
  let variance = 0;
  for (const i of places) {
    value += (Math.log(cells[i]!.mean / cells[i]!.before) + fuel) / places.length;
    for (const j of places) variance += covariance[i * n + j]! / places.length ** 2;
  }
  return { value, u: Math.sqrt(Math.max(0, variance)) };
}
