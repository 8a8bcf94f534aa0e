import { describe, expect, it } from "vitest";
import { seededRandom } from "../../fit/index.js";
import { makeTransferCurve } from "../../sensor/index.js";
import { emptySums, sealed } from "./drive-sums.js";
import { fieldLoads, fieldSpeeds, nodeCount } from "./field.js";
import { parts } from "./record-form.js";
import { knotCount } from "./reference.js";
import { solveRefinement } from "./solve.js";
import type { DriveEvidence, RefineSums } from "./types.js";

const flows = [0.002, 0.003, 0.0045, 0.007, 0.011, 0.018, 0.03, 0.05, 0.09, 0.15];
const curve = makeTransferCurve({
  signal: "voltage",
  outside: "hold",
  cells: flows.map((flow, i) => ({
    signal: 1 + 0.3 * i,
    flow,
    origin: "rescaled",
    budget: { bore: 0.03, profile: 0.03, storage: 0.001 },
    flags: [],
  })),
});
const empty = emptySums(curve);
const zeros = (n: number): number[] => new Array<number>(n).fill(0);

interface Row {
  readonly knot: number;
  readonly node: number;
  readonly leak: number;
  readonly offset: number;
  readonly exhaust: number;
  readonly y: number;
}

/** A drive's evidence from rows of unit noise `sd` [1]; `causes` false leaves the causes' columns away. */
function evidence(rows: readonly Row[], sd: number, causes: boolean): DriveEvidence {
  const { size } = parts;
  const matrix = zeros((size * (size + 1)) / 2);
  const vector = zeros(size);
  const seconds = zeros(knotCount);
  for (const row of rows) {
    const at: [number, number][] = [
      [row.knot, 1],
      [parts.nodes + row.node, 1],
      [parts.offset + Math.floor((row.knot / knotCount) * 4), 1],
    ];
    if (causes)
      at.push([parts.causes, row.leak], [parts.causes + 1, row.offset], [parts.causes + 2, row.exhaust]);
    seconds[row.knot] = seconds[row.knot]! + 1;
    for (const [i, a] of at) {
      vector[i] = vector[i]! + (a * row.y) / sd ** 2;
      for (const [j, b] of at)
        if (j <= i) matrix[(i * (i + 1)) / 2 + j] = matrix[(i * (i + 1)) / 2 + j]! + (a * b) / sd ** 2;
    }
  }
  return sealed({
    matrix,
    vector,
    seconds,
    seen: { weight: zeros(knotCount), sum: zeros(knotCount) },
    places: { time: seconds, speed: seconds.map((t) => 30 * t), pressure: seconds.map((t) => 0.5 * t) },
    filling: { sum: 5e-4 * rows.length, ln: Math.log(5e-4) * rows.length, time: rows.length },
    outside: { sum: 1e5 * rows.length, time: rows.length },
    loaded: rows.length,
    stretches: [],
    summary: {
      name: "rows",
      refused: null,
      source: "lambda",
      seconds: rows.length,
      gates: { rows: rows.length, used: rows.length, left: {} },
      transport: null,
      transient: null,
      noise: null,
      delay: null,
      effective: rows.length,
      misfit: 1,
      saturated: 0,
    },
  });
}

const sumsOfRows = (rows: readonly Row[], sd: number, causes: boolean): RefineSums => ({
  ...empty,
  drives: [evidence(rows, sd, causes)],
});

/** Rows of a random engine with a random leak, injector offset, table error and field, any of which may be none. */
function rowsOf(seed: number): { readonly rows: Row[]; readonly sd: number } {
  const random = seededRandom(seed);
  const some = (most: number): number => (random.uniform() < 0.4 ? 0 : most * random.normal());
  const leak = Math.abs(some(0.0006));
  const offset = some(5e-6);
  const bend = some(0.05);
  const scale = some(0.04);
  const field = some(0.02);
  const sd = 0.004 + 0.03 * random.uniform();
  const rows = Array.from({ length: 400 }, (): Row => {
    const speed = 12 + 70 * random.uniform() ** 2;
    const load = 0.25 + 0.75 * random.uniform();
    const flow = Math.min(0.15, Math.max(0.002, 5e-4 * speed * load));
    const { x0, x1 } = { x0: Math.log(0.002), x1: Math.log(0.15) };
    const knot = Math.round(((Math.log(flow) - x0) / (x1 - x0)) * (knotCount - 1));
    const s = fieldSpeeds.findIndex((value) => value >= speed);
    const l = fieldLoads.findIndex((value) => value >= load);
    const node =
      (s < 0 ? fieldSpeeds.length - 1 : s) * fieldLoads.length + (l < 0 ? fieldLoads.length - 1 : l);
    const opening = load > 0.53 ? Math.sqrt(Math.max(0, (1 - load) / 0.47)) : 1;
    const columns = { leak: opening / flow, offset: speed / flow, exhaust: 0.003 / (0.003 + flow) };
    const y =
      scale +
      bend * Math.sin(knot / 15) +
      leak * columns.leak +
      offset * columns.offset +
      (node % 7 === 0 ? field : 0) +
      sd * random.normal();
    return { knot, node: Math.min(nodeCount - 1, node), ...columns, y };
  });
  return { rows, sd };
}

describe("a named cause", () => {
  it("S1: never leans a cell, over random sums", () => {
    let named = 0;
    for (let seed = 1; seed <= 24; seed++) {
      const { rows, sd } = rowsOf(seed);
      const result = solveRefinement(curve, sumsOfRows(rows, sd, true));
      const table = solveRefinement(curve, sumsOfRows(rows, sd, false));
      expect(table.named).toBeNull();
      if (result.named !== null) named++;
      result.cells.forEach((cell, i) => {
        const bare = table.cells[i]!;
        expect(cell.after).toBeGreaterThanOrEqual(bare.after * (1 - 1e-9));
        // The interval is the hull of both explanations: it holds what the table alone says.
        if (result.named !== null) {
          expect(cell.shape.low).toBeLessThanOrEqual(bare.shape.low * (1 + 1e-9));
          expect(cell.shape.high).toBeGreaterThanOrEqual(bare.shape.high * (1 - 1e-9));
        }
      });
    }
    // Else nothing was tried.
    expect(named).toBeGreaterThan(5);
  });
  it("is a leak where there is one, of its size, and the text says to test for it first", () => {
    const { rows } = rowsOf(3);
    const clean = rows.map((row, t) => ({ ...row, y: 0.0005 * row.leak + 0.01 * Math.sin(17 * t) }));
    const { named, findings } = solveRefinement(curve, sumsOfRows(clean, 0.01, true));
    expect(named?.cause).toBe("leak");
    expect(Math.abs(named!.size - 0.0005)).toBeLessThan(3 * named!.u);
    const told = findings.find(({ code }) => code === "leak");
    expect(told?.level).toBe("caution");
    expect(told?.text).toMatch(/^Smoke or pressure test first/u);
  });
  it("is none, and the region is told, where only a part of speed and load is off", () => {
    const random = seededRandom(8);
    const { rows } = rowsOf(5);
    const hit = (node: number): boolean => node % fieldLoads.length === 5 && node < 4 * fieldLoads.length;
    const off = rows.map((row) => ({ ...row, y: (hit(row.node) ? -0.08 : 0) + 0.01 * random.normal() }));
    const { named, region, findings } = solveRefinement(curve, sumsOfRows(off, 0.01, true));
    expect(named).toBeNull();
    expect(region).not.toBeNull();
    expect(region!.size).toBeLessThan(-0.03);
    expect(region!.pressureRatio).toBe(0.95);
    expect(region!.speed).toBeLessThanOrEqual(30);
    expect(findings.find(({ code }) => code === "none of these")?.text).toMatch(/rich near .* rpm .* kPa/u);
  });
});
