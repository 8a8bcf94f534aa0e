import { BellmouthError, requireNumber } from "../fault/index.js";
import { checkIncreasing } from "./check.js";
import type { Axis } from "./curve.js";
import { refuse } from "./evaluate.js";
import { halve, indexKnots, locate } from "./knot-index.js";

declare const checked: unique symbol;

/**
 * A checked two-axis table, read as the device reads it: bilinear between breakpoints. Plain JSON-ready data, made by
 * `makeTable`.
 */
export interface Table {
  readonly kind: "table";
  readonly x: Axis;
  readonly y: Axis;
  /** Values row by row: the value at x[i], y[j] is values[i * y.values.length + j]. Shape [nx][ny]. */
  readonly z: Axis;
  /** Outside the breakpoints: the value at the nearest edge, or `E_OUTSIDE`. */
  readonly outside: "hold" | "refuse";
  readonly [checked]?: true;
}

/**
 * Checks and marks a table.
 *
 * @param table x and y strictly increasing, each of at least two; z of shape [nx][ny]; all finite
 * @throws `E_SHAPE` on lengths, `E_ORDER` on breakpoints, `E_DOMAIN` on NaN or infinities
 */
export function makeTable(table: Omit<Table, "kind" | typeof checked>): Table {
  for (const name of ["x", "y"] as const) {
    const { values, quantity } = table[name];
    if (values.length < 2) {
      throw new BellmouthError({
        code: "E_SHAPE",
        message: "a table needs at least two breakpoints on each axis",
        found: `${values.length}`,
        accepted: "two or more",
        at: { path: `${name}.values` },
      });
    }
    values.forEach((value, i) => {
      requireNumber(value, `${name}.values[${i}]`, quantity);
    });
    const [wrong] = checkIncreasing(values);
    if (wrong !== undefined) {
      throw new BellmouthError({
        code: "E_ORDER",
        message: "breakpoints must be strictly increasing",
        found: `${wrong.value} after ${wrong.left}`,
        accepted: `a breakpoint above ${wrong.left}`,
        at: { path: `${name}.values[${wrong.index}]` },
      });
    }
  }
  const cells = table.x.values.length * table.y.values.length;
  if (table.z.values.length !== cells) {
    throw new BellmouthError({
      code: "E_SHAPE",
      message: "a table needs a value for every pair of breakpoints",
      found: `${table.z.values.length} values`,
      accepted: `${table.x.values.length} x ${table.y.values.length} = ${cells} values`,
      at: { path: "z.values" },
    });
  }
  table.z.values.forEach((value, i) => {
    requireNumber(value, `z.values[${i}]`, table.z.quantity);
  });
  return { kind: "table", ...table };
}

/** Share u of the way from a to b, never past b; exactly a at 0. */
const along = (a: number, b: number, u: number): number => {
  if (u === 0) return a;
  const value = a + u * (b - a);
  return b >= a ? Math.min(value, b) : Math.max(value, b);
};

/** Breakpoint k at or below a point, and the share of the way to the next. */
type Place = readonly [k: number, share: number];

function placeOf(knots: ArrayLike<number>, x: number, k: number): Place {
  const low = knots[k] as number;
  return k === knots.length - 1 ? [k, 0] : [k, (x - low) / ((knots[k + 1] as number) - low)];
}

/** Where a point is read: itself, the nearest edge when the table holds, or `E_OUTSIDE`. */
function confine(table: Table, axis: "x" | "y", point: number): number {
  const { values } = table[axis];
  const first = values[0] as number;
  const last = values[values.length - 1] as number;
  if (point >= first && point <= last) return point;
  if (table.outside === "refuse") refuse(point, first, last, axis);
  return point < first ? first : last;
}

function bilinear(z: ArrayLike<number>, ny: number, [i, u]: Place, [j, w]: Place): number {
  const row = (r: number): number => {
    const at = r * ny + j;
    return w === 0 ? (z[at] as number) : along(z[at] as number, z[at + 1] as number, w);
  };
  return u === 0 ? row(i) : along(row(i), row(i + 1), u);
}

/**
 * Value of a table at (x, y), bilinear as the device computes it. Breakpoints are reproduced exactly, and the value
 * never leaves the range of its four neighbours.
 *
 * @param x in the unit of the x axis; NaN gives NaN
 * @param y in the unit of the y axis; NaN gives NaN
 * @returns value in the unit of z
 * @throws `E_OUTSIDE` when the table refuses to be read outside its breakpoints
 * @example
 * const table = makeTable({
 *   x: { quantity: "voltage", values: [1, 3] },
 *   y: { quantity: "mass flow", values: [0, 0.1] },
 *   z: { quantity: "temperature", values: [350, 346, 280, 278] },
 *   outside: "hold",
 * });
 * evaluateTable(table, 2, 0.05) // ≈ 313.5
 */
export function evaluateTable(table: Table, x: number, y: number): number {
  if (Number.isNaN(x) || Number.isNaN(y)) return Number.NaN;
  const [xs, ys] = [table.x.values, table.y.values];
  const [px, py] = [confine(table, "x", x), confine(table, "y", y)];
  return bilinear(
    table.z.values,
    ys.length,
    placeOf(xs, px, halve(xs, px, 0, xs.length - 1)),
    placeOf(ys, py, halve(ys, py, 0, ys.length - 1)),
  );
}

/**
 * Prepares a table and returns the function that reads it: the same bits as `evaluateTable`.
 *
 * @returns function of x and y in the units of the axes, to the unit of z
 */
export function tableEvaluator(table: Table): (x: number, y: number) => number {
  const [xs, ys] = [indexKnots(table.x.values), indexKnots(table.y.values)];
  const z = Float64Array.from(table.z.values);
  return (x, y) => {
    if (Number.isNaN(x) || Number.isNaN(y)) return Number.NaN;
    const [px, py] = [confine(table, "x", x), confine(table, "y", y)];
    return bilinear(
      z,
      ys.knots.length,
      placeOf(xs.knots, px, locate(xs, px)),
      placeOf(ys.knots, py, locate(ys, py)),
    );
  };
}
