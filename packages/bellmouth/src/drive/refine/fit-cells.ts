import type { TransferCurve } from "../../sensor/index.js";
import { guardRails, type RailedFlows } from "./guard-rails.js";
import { placeAmong, type Reference, readAt } from "./reference.js";

/** Points between two cells at which what the ECU executes is held against the curve. */
const pointsBetween = 8;
/** Share of the weight that is even over ln flow, wherever one drives [1]. */
const evenWeight = 0.03;

/** Points along the table: what the curve is there, and how much it counts. */
interface Points {
  readonly segment: Int32Array;
  readonly share: Float64Array;
  readonly lnFlow: Float64Array;
  readonly weight: Float64Array;
}

/** Time per unit of ln flow from which the curve itself is wanted there [s]. */
const drivenDensity = 2;

/**
 * Points along the table, weighted by where one drives. Where nobody drives, what is wanted is the table as it was, moved as far as the
 * curve moved: nothing is known there of what lies between its cells.
 *
 * @param curve  ln(wanted/reference flow) at the knots [1]
 * @param seconds time near each knot [s]
 */
function pointsOf(
  table: TransferCurve,
  reference: Reference,
  curve: Float64Array,
  seconds: Float64Array,
): Points {
  const { cells } = table;
  const n = (cells.length - 1) * pointsBetween;
  const points: Points = {
    segment: new Int32Array(n),
    share: new Float64Array(n),
    lnFlow: new Float64Array(n),
    weight: new Float64Array(n),
  };
  let whole = 0;
  for (const time of seconds) whole += time;
  const last = reference.x.length - 1;
  const perKnot = (reference.x[last]! - reference.x[0]!) / last;
  for (let c = 0, k = 0; c + 1 < cells.length; c++) {
    const [a, b] = [cells[c]!, cells[c + 1]!];
    const span = Math.min(
      3,
      reference.lnFlow(b.signal) - reference.lnFlow(a.flow > 0 ? a.signal : 0.5 * (a.signal + b.signal)),
    );
    for (let j = 0; j < pointsBetween; j++, k++) {
      const share = (j + 0.5) / pointsBetween;
      const x = reference.lnFlow(a.signal + share * (b.signal - a.signal));
      points.segment[k] = c;
      points.share[k] = share;
      const { left, share: between } = placeAmong(reference.x, x);
      const density = ((1 - between) * seconds[left]! + between * seconds[left + 1]!) / perKnot;
      const width = span / pointsBetween;
      const executed = (1 - share) * a.flow + share * b.flow;
      points.lnFlow[k] = (density >= drivenDensity ? x : Math.log(executed)) + readAt(curve, reference.x, x);
      points.weight[k] =
        width * ((whole > 0 ? density / whole : 0) + evenWeight / (reference.x[last]! - reference.x[0]!));
    }
  }
  return points;
}

/** How strongly a cell is drawn to the curve itself, over the weight of a point [1]: what the points leave open. */
const toTheCurve = 1e-4;

/**
 * The values to type in: cells whose straight lines, as the ECU executes them, lie nearest to a curve where one drives.
 *
 * @param curve   ln(wanted/reference flow) at the knots [1]
 * @param seconds time near each knot [s]
 * @returns flows [kg/s]; a cell at no flow stays there
 */
export function fitCells(
  table: TransferCurve,
  reference: Reference,
  curve: Float64Array,
  seconds: Float64Array,
): number[] {
  const { cells } = table;
  const n = cells.length;
  const at = cells.map(({ signal, flow }) => {
    const x = reference.lnFlow(signal);
    return flow > 0 ? Math.exp(x + readAt(curve, reference.x, x)) : 0;
  });
  const points = pointsOf(table, reference, curve, seconds);
  // Normal equations of the flows' shares of the curve at their cells: each point holds its two cells.
  const diagonal = new Float64Array(n).fill(0);
  const beside = new Float64Array(n);
  const right = new Float64Array(n);
  let heaviest = 0;
  for (const weight of points.weight) if (weight > heaviest) heaviest = weight;
  for (let i = 0; i < n; i++) {
    diagonal[i] = toTheCurve * heaviest;
    right[i] = toTheCurve * heaviest;
  }
  for (let k = 0; k < points.weight.length; k++) {
    const c = points.segment[k]!;
    const wanted = Math.exp(points.lnFlow[k]!);
    const a = ((1 - points.share[k]!) * at[c]!) / wanted;
    const b = (points.share[k]! * at[c + 1]!) / wanted;
    const w = points.weight[k]!;
    diagonal[c] = diagonal[c]! + w * a * a;
    diagonal[c + 1] = diagonal[c + 1]! + w * b * b;
    beside[c] = beside[c]! + w * a * b;
    right[c] = right[c]! + w * a;
    right[c + 1] = right[c + 1]! + w * b;
  }
  const share = tridiagonal(diagonal, beside, right);
  return at.map((flow, i) => flow * share[i]!);
}

/** Solves a symmetric tridiagonal system: `beside[i]` stands between i and i + 1. */
function tridiagonal(diagonal: Float64Array, beside: Float64Array, right: Float64Array): Float64Array {
  const n = diagonal.length;
  const d = Float64Array.from(diagonal);
  const x = Float64Array.from(right);
  for (let i = 1; i < n; i++) {
    const by = beside[i - 1]! / d[i - 1]!;
    d[i] = d[i]! - by * beside[i - 1]!;
    x[i] = x[i]! - by * x[i - 1]!;
  }
  for (let i = n - 1; i >= 0; i--) {
    if (i < n - 1) x[i] = x[i]! - beside[i]! * x[i + 1]!;
    x[i] = x[i]! / d[i]!;
  }
  return x;
}

/** Error of what the ECU executes about each cell against a curve: the worst, and the root of its weighted mean square [1]. */
export function executedError(
  table: TransferCurve,
  flows: readonly number[],
  reference: Reference,
  curve: Float64Array,
  seconds: Float64Array,
): readonly { readonly worst: number; readonly rms: number }[] {
  const points = pointsOf(table, reference, curve, seconds);
  const n = flows.length;
  const worst = new Float64Array(n);
  const square = new Float64Array(n);
  const weight = new Float64Array(n);
  for (let k = 0; k < points.weight.length; k++) {
    const c = points.segment[k]!;
    const share = points.share[k]!;
    const executed = (1 - share) * flows[c]! + share * flows[c + 1]!;
    const error = executed / Math.exp(points.lnFlow[k]!) - 1;
    const cell = share < 0.5 ? c : c + 1;
    if (Math.abs(error) > worst[cell]!) worst[cell] = Math.abs(error);
    square[cell] = square[cell]! + points.weight[k]! * error ** 2;
    weight[cell] = weight[cell]! + points.weight[k]!;
  }
  return flows.map((_, i) => ({
    worst: worst[i]!,
    rms: weight[i]! > 0 ? Math.sqrt(square[i]! / weight[i]!) : 0,
  }));
}

/** Flows inside the guard rails: no cell changes by more than `largest`, and the table rises. */
export const railed = (table: TransferCurve, flows: readonly number[], largest: number): RailedFlows =>
  guardRails(
    table.cells.map(({ flow }) => flow),
    table.cells.map(({ flow }, i) => (flow > 0 ? Math.log(flows[i]! / flow) : 0)),
    largest,
  );
