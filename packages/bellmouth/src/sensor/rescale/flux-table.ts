import type { Duct } from "./duct.js";

// A Monte Carlo reads the flux law a million times. It is tabulated once, over ln Re (or, inverted, over its value) and
// over the root of the distance (the law bends as the root), and read by straight lines: 1e-4 off, against uncertainties
// of a percent.
const NODES = 768;
const DISTANCES = 9;

/** A function of ln Re and distance on even nodes: row k holds the values of distance k. */
export interface FluxTable {
  readonly from: number;
  readonly perStep: number;
  readonly rootFrom: number;
  readonly perRoot: number;
  readonly rows: number;
  readonly nodes: number;
  readonly values: Float64Array;
}

/** The flux law of a duct between ln Re `from` and `to`, and its inverse over the values it takes there. */
export function fluxTables(duct: Duct, from: number, to: number): { law: FluxTable; inverse: FluxTable } {
  const middle = duct.ahead?.flow.distance ?? 0;
  const reach = 4.5 * (duct.ahead?.distanceU ?? 0);
  const [least, most] = [duct.distanceAt(middle - reach), middle + reach].map(Math.sqrt) as [number, number];
  const rows = reach > 0 ? DISTANCES : 1;
  const step = (to - from) / (NODES - 1);
  const values = new Float64Array(rows * NODES);
  const laws = Array.from({ length: rows }, (_, k) =>
    rows === 1 ? duct.law : duct.lawAt((least + ((most - least) * k) / (rows - 1)) ** 2),
  );
  laws.forEach((law, k) => {
    for (let j = 0; j < NODES; j++) values[k * NODES + j] = law.at(from + j * step);
  });
  // Every row's inverse on one axis, which must lie inside the values of all of them; readers carry the ends on.
  let low = Number.NEGATIVE_INFINITY;
  let high = Number.POSITIVE_INFINITY;
  for (let k = 0; k < rows; k++) {
    low = Math.max(low, values[k * NODES] as number);
    high = Math.min(high, values[(k + 1) * NODES - 1] as number);
  }
  const valueStep = (high - low) / (NODES - 1);
  const inverse = new Float64Array(rows * NODES);
  for (let k = 0; k < rows; k++) {
    let j = 0;
    for (let i = 0; i < NODES; i++) {
      const y = low + i * valueStep;
      while (j < NODES - 2 && (values[k * NODES + j + 1] as number) < y) j++;
      const below = values[k * NODES + j] as number;
      const above = values[k * NODES + j + 1] as number;
      inverse[k * NODES + i] = from + (j + (y - below) / (above - below)) * step;
    }
  }
  const shared = {
    rootFrom: least,
    perRoot: rows === 1 ? 0 : (rows - 1) / (most - least),
    rows,
    nodes: NODES,
  };
  return {
    law: { ...shared, from, perStep: 1 / step, values },
    inverse: { ...shared, from: low, perStep: 1 / valueStep, values: inverse },
  };
}

/** Where between a table's rows each of a block of draws reads. */
export interface RowPlaces {
  /** first value of the lower row */
  readonly start: Int32Array;
  /** share of the row above */
  readonly share: Float64Array;
}

/** Places draw `b` at a distance over diameter; distances past the table's ends are read at the ends. */
export function placeDraw(table: FluxTable, places: RowPlaces, b: number, distance: number): void {
  const root = Math.sqrt(Math.max(0, distance));
  const q = Math.min(Math.max((root - table.rootFrom) * table.perRoot, 0), table.rows - 1);
  const k = Math.min(Math.floor(q), Math.max(table.rows - 2, 0));
  places.start[b] = k * table.nodes;
  places.share[b] = q - k;
}

/**
 * Replaces each of the first `count` numbers of `xs` by the table's value there, by straight lines, the end segments
 * carried on. A loop of its own: inside the Monte Carlo's it would cost twice as much.
 */
export function readTable(table: FluxTable, places: RowPlaces, xs: Float64Array, count: number): void {
  const { nodes, values, from, perStep, rows } = table;
  const { start, share } = places;
  const above = rows > 1 ? nodes : 0;
  const last = nodes - 2;
  for (let b = 0; b < count; b++) {
    const p = ((xs[b] as number) - from) * perStep;
    let j = p | 0;
    if (j < 0) j = 0;
    else if (j > last) j = last;
    const f = p - j;
    const i = (start[b] as number) + j;
    const low = values[i] as number;
    const lower = low + ((values[i + 1] as number) - low) * f;
    const k = i + above;
    const high = values[k] as number;
    const upper = high + ((values[k + 1] as number) - high) * f;
    xs[b] = lower + (upper - lower) * (share[b] as number);
  }
}
