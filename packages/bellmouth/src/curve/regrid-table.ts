import type { Axis, AxisQuantity } from "./curve.js";
import { type FitRows, leastPower } from "./least-power.js";
import { quantise, type StorageFlag, type StorageFormat } from "./storage.js";
import { storeAxis } from "./store-curve.js";
import { makeTable, type Table, tableEvaluator } from "./table.js";
import { cornersBetween, type ErrorMeasure, errorScale } from "./target.js";

/** A surface given by a function instead of breakpoints. */
export interface TargetSurface {
  readonly kind: "surface";
  /** What the function returns. */
  readonly quantity: AxisQuantity;
  /** Value at (x, y), all in SI; finite wherever it is asked. */
  readonly at: (x: number, y: number) => number;
}

export interface RegridTableOptions extends ErrorMeasure {
  /** `minimax`: a small largest executed error. `sample`: the target's own values at the breakpoints. */
  readonly fit: "minimax" | "sample";
  readonly outside: Table["outside"];
  /** How the device stores breakpoints and values; stored exactly when left out. */
  readonly storage?: { readonly x?: StorageFormat; readonly y?: StorageFormat; readonly z?: StorageFormat };
}

/** The executed error of a table at one place; parts in the unit of the values add up to executed - target. */
export interface TableErrorAt {
  readonly x: number;
  readonly y: number;
  readonly target: number;
  readonly executed: number;
  /** Executed less target, in the measure asked for: [1] when relative. */
  readonly error: number;
  readonly interpolation: number;
  readonly storage: number;
  readonly clipping: number;
}

export interface RegriddedTable {
  /** Before storage of its values, on the breakpoints as stored. */
  readonly ideal: Table;
  /** As the device holds it. */
  readonly stored: Table;
  /** Flags of each value, in the order of `z.values`. */
  readonly flags: readonly (readonly StorageFlag[])[];
  readonly executed: {
    readonly error: "relative" | "absolute";
    /** Lowest and highest reading against the target around each pair of breakpoints, in the order of `z.values`. */
    readonly cells: readonly { readonly lowest: TableErrorAt; readonly highest: TableErrorAt }[];
    readonly worst: TableErrorAt;
  };
}

/** Readings of a smooth surface between two breakpoints, along each axis. */
const READINGS = 6;

/**
 * A two-axis table on new axes that stands for the target, by the same rules as `regridCurve`: bilinear as the device
 * executes it, smallest largest error, then storage, then the error of what is left.
 *
 * `minimax` is a least 32nd-power fit, whose largest error is a few percent above the least possible at most in
 * practice (no proof is returned); it is never worse than `sample`, and rows and columns that rise or fall in the
 * target do so in the table. Against a table the executed error is exact (bilinear pieces have their extremes at their
 * corners); against a function it is read at six places between breakpoints along each axis.
 *
 * @param target a table (its quantities must be those of the new axes) or a function
 * @param x new breakpoints, strictly increasing, at least two
 * @param y new breakpoints, strictly increasing, at least two
 * @throws `E_ORDER`, `E_SHAPE` on the axes; `E_DOMAIN` when relative errors meet a target at zero without a floor
 */
export function regridTable(
  target: Table | TargetSurface,
  x: Axis,
  y: Axis,
  options: RegridTableOptions,
): RegriddedTable {
  const at = target.kind === "table" ? tableEvaluator(target) : target.at;
  const scale = errorScale(options);
  const xs = storeAxis(x.values, options.storage?.x).values;
  const ys = storeAxis(y.values, options.storage?.y).values;
  const tableOf = (values: readonly number[]): Table =>
    makeTable({
      x: { quantity: x.quantity, values: xs },
      y: { quantity: y.quantity, values: ys },
      z: { quantity: target.kind === "table" ? target.z.quantity : target.quantity, values },
      outside: options.outside,
    });
  const sampled = xs.flatMap((px) => ys.map((py) => at(px, py)));
  tableOf(sampled); // checks the axes before anything is computed on them
  const places = {
    x: placesOf(xs, target.kind === "table" ? target.x.values : undefined),
    y: placesOf(ys, target.kind === "table" ? target.y.values : undefined),
  };
  const values =
    options.fit === "sample" ? sampled : fitTable(at, xs, ys, places, scale, sampled, options.storage?.z);
  const ideal = tableOf(values);
  const format = options.storage?.z;
  const rounded = format === undefined ? undefined : quantise(values, format, { keep: "nothing" });
  const stored = tableOf(rounded?.values ?? values);
  const unclipped = tableOf(rounded?.unclipped ?? values);
  const executed = {
    error: options.error,
    ...tableErrors(at, { ideal, unclipped, stored }, places, scale),
  };
  return { ideal, stored, flags: rounded?.flags ?? values.map(() => []), executed };
}

/** Breakpoints, the target's corners between them, and readings between them where the target is smooth. */
function placesOf(knots: readonly number[], corners: readonly number[] | undefined): readonly number[] {
  return knots.flatMap((right, k) => {
    const left = knots[k - 1];
    if (left === undefined) return [right];
    const inside =
      corners === undefined
        ? Array.from({ length: READINGS }, (_, i) => left + ((right - left) * (i + 1)) / (READINGS + 1))
        : cornersBetween(corners, left, right);
    return [...inside, right];
  });
}

interface Places {
  readonly x: readonly number[];
  readonly y: readonly number[];
}

function fitTable(
  at: (x: number, y: number) => number,
  xs: readonly number[],
  ys: readonly number[],
  places: Places,
  scale: (target: number) => number,
  sampled: readonly number[],
  format: StorageFormat | undefined,
): readonly number[] {
  const rows = {
    unknown: [] as number[],
    weight: [] as number[],
    target: [] as number[],
    scale: [] as number[],
  };
  const cells = places.y.map((py) => shareOf(ys, py));
  for (const px of places.x) {
    const [i, u] = shareOf(xs, px);
    places.y.forEach((py, k) => {
      const [j, w] = cells[k] as readonly [number, number];
      const base = i * ys.length + j;
      const value = at(px, py);
      rows.unknown.push(base, base + 1, base + ys.length, base + ys.length + 1);
      rows.weight.push((1 - u) * (1 - w), (1 - u) * w, u * (1 - w), u * w);
      rows.target.push(value);
      rows.scale.push(scale(value));
    });
  }
  const problem: FitRows = { unknowns: sampled.length, width: 4, count: rows.target.length, ...rows };
  const fitted = leastPower(problem, Float64Array.from(sampled));
  const within = (value: number, node: number): number =>
    format === undefined
      ? value
      : Math.min(Math.max(value, Math.min(format.from, node)), Math.max(format.to, node));
  // Errors are convex in the values: going from the sampled ones towards the fit never passes the larger of both, so
  // stopping short of a broken order costs part of the gain and no more.
  for (let part = 1; part > 0.01; part /= 2) {
    const blend = sampled.map((node, i) => within(node + part * ((fitted[i] as number) - node), node));
    if (keepsOrder(sampled, blend, ys.length)) return blend;
  }
  return sampled;
}

/** Cell of a point and the share of the way through it; the last breakpoint is the end of the last cell. */
function shareOf(knots: readonly number[], p: number): readonly [number, number] {
  let k = 0;
  while (k < knots.length - 2 && p >= (knots[k + 1] as number)) k++;
  const low = knots[k] as number;
  return [k, (p - low) / ((knots[k + 1] as number) - low)];
}

/** True when every step along a row or column goes the way it goes in `model`, where that goes one way throughout. */
function keepsOrder(model: readonly number[], values: readonly number[], ny: number): boolean {
  for (const stride of [1, ny]) {
    const steps = model
      .map((_, k) => k)
      .filter((k) => (stride === 1 ? k % ny !== 0 : k >= ny))
      .map((k) => ({
        k,
        was: Math.sign((model[k] as number) - (model[k - stride] as number)),
        is: Math.sign((values[k] as number) - (values[k - stride] as number)),
      }));
    const way = steps[0]?.was ?? 0;
    if (way !== 0 && steps.every((step) => step.was === way) && steps.some((step) => step.is !== way))
      return false;
  }
  return true;
}

function tableErrors(
  at: (x: number, y: number) => number,
  tables: { readonly ideal: Table; readonly unclipped: Table; readonly stored: Table },
  places: Places,
  scale: (target: number) => number,
): Omit<RegriddedTable["executed"], "error"> {
  const ideal = tableEvaluator(tables.ideal);
  const unclipped = tableEvaluator(tables.unclipped);
  const stored = tableEvaluator(tables.stored);
  const errorAt = (x: number, y: number): TableErrorAt => {
    const target = at(x, y);
    const executed = stored(x, y);
    return {
      x,
      y,
      target,
      executed,
      error: (executed - target) / scale(target),
      interpolation: ideal(x, y) - target,
      storage: unclipped(x, y) - ideal(x, y),
      clipping: executed - unclipped(x, y),
    };
  };
  const [xs, ys] = [tables.stored.x.values, tables.stored.y.values];
  const [nearX, nearY] = [nearest(xs, places.x), nearest(ys, places.y)];
  const cells = xs.flatMap((_, i) =>
    ys.map((_, j) => {
      let lowest: TableErrorAt | undefined;
      let highest: TableErrorAt | undefined;
      for (const px of nearX[i] as readonly number[]) {
        for (const py of nearY[j] as readonly number[]) {
          const here = errorAt(px, py);
          if (lowest === undefined || here.error < lowest.error) lowest = here;
          if (highest === undefined || here.error > highest.error) highest = here;
        }
      }
      // A breakpoint is always among its own nearest places.
      return { lowest: lowest as TableErrorAt, highest: highest as TableErrorAt };
    }),
  );
  const worst = cells
    .flatMap((cell) => [cell.lowest, cell.highest])
    .reduce((a, b) => (Math.abs(b.error) > Math.abs(a.error) ? b : a));
  return { cells, worst };
}

/** Places nearest to each knot, with the middles between knots, which belong to both sides. */
function nearest(knots: readonly number[], places: readonly number[]): readonly (readonly number[])[] {
  return knots.map((knot, k) => {
    const left = k === 0 ? knot : ((knots[k - 1] as number) + knot) / 2;
    const right = k === knots.length - 1 ? knot : (knot + (knots[k + 1] as number)) / 2;
    return [left, ...cornersBetween(places, left, right), right];
  });
}
