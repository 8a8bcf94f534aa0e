// Whole rescales between short housings: the demo against the law written out anew, and random housings against other models.
import { readFileSync } from "node:fs";
import { requireDocument, swapDocument } from "bellmouth/document";
import { seededRandom } from "bellmouth/fit";
import {
  combinedUncertainty,
  type ErrorBudget,
  type Housing,
  makeTransferCurve,
  meanToCentreRatio,
  rescaleTransferCurve,
} from "bellmouth/sensor";
import { planSwap } from "bellmouth/stage";
import { celsius, gramsPerSecond, metres, mm, mm2, squareMetres } from "bellmouth/units";
import { describe, expect, it } from "vitest";
import { accuracy } from "../support/accuracy.js";
import { ENTRY_MODELS, type EntryModel, excessOf } from "../support/entry-truth.js";

const area = "Entry flow";
const folder = new URL("../../examples/demo/", import.meta.url);
const read = (name: string): string => readFileSync(new URL(name, folder), "utf8");
const worst = (values: readonly number[]): number => values.reduce((a, b) => Math.max(a, Math.abs(b)), 0);

/** The law as docs/decisions/0010-entry-flow.md has it, for an element in the core (0 to 0.3 within 3 diameters). */
function coreLaw(re: number, distance: number, layerAhead: number, transition: number): number {
  const x = distance + layerAhead;
  const s = Math.sqrt(x / re);
  const laminar =
    2 - Math.exp((-6.88315 * s * (1 - 2.9349 * s + 46.175 * s ** 2)) / (1 - 2.3658 * s + 13.4055 * s ** 2));
  const share = 1 / (1 + (2345 / re) ** (1 / 0.0432)) / (1 + (transition / (re * x)) ** (1 / 0.547));
  // The long pipe's turbulent ratio counts for S > 0 only, where it is the mean-to-centre ratio.
  const z = 1 / meanToCentreRatio(Math.max(re, 3500)) - 1;
  const g = 0.719 * x ** 0.7212 * re ** -0.3029;
  const turbulent = 1 + (g ** -6 + z ** -6) ** (-1 / 6);
  const k = (1 - share) * laminar + share * turbulent;
  return 1 + (k - 1) * (1 - 0.35 * Math.exp(-4.1 * distance));
}

describe("the demo, with equal runs", () => {
  const { document } = requireDocument([swapDocument], read("swap.yaml"), { file: "swap.yaml", open: read });
  const { airflow } = planSwap(document);

  it("every cell by the law written out anew", () => {
    const viscosity = 1.813e-5; // 20 degC, Sutherland's law: 1.8134e-5 Pa s
    const [from, to] = [80, 86].map((bore) => {
      const d = bore / 1000;
      const open = (Math.PI / 4) * d ** 2 - 320e-6;
      return {
        open,
        flux: (m: number) => (coreLaw((4 * m) / (Math.PI * viscosity * d), 0.045 / d, 0.1, 1.5e5) * m) / open,
      };
    }) as [{ open: number; flux: (m: number) => number }, { open: number; flux: (m: number) => number }];
    const errors = airflow.cells.map(({ wanted, overAreaOnly }) => {
      // The old flow of the same flux; the law is so nearly straight that repetition settles.
      let old = wanted * (from.open / to.open);
      for (let k = 0; k < 60; k++) old *= to.flux(wanted) / from.flux(old);
      return 100 * (overAreaOnly / (wanted / old / (to.open / from.open)) - 1);
    });
    accuracy({
      id: "entry-demo",
      area,
      what: "the demo's ratio to scaling by area, every cell",
      evidence: "closed form",
      source: "the formulas of docs/decisions/0010-entry-flow.md written out anew in the test",
      compared: errors.length,
      measured: worst(errors),
      limit: 0.05,
      unit: "%, worst cell",
    });
  });

  it("no kink: d ln flow / d ln signal stays near the donor's", () => {
    const source = airflow.source.points;
    // Cells of the donor's own table alone: what the law fills in beyond it has other slopes.
    const given = document.next.source === "donor" ? document.next.donor.table.signal : [];
    const points = source.filter(({ signal }) => given.includes(signal));
    const flows = points.map(({ flow }, i) => ({ signal: given[i] as number, flow }));
    const curve = makeTransferCurve({
      signal: "frequency",
      outside: "hold",
      cells: flows.map((point) => ({ ...point, origin: "measured" as const, budget: {}, flags: [] })),
    });
    const donor = document.next.source === "donor" ? document.next.donor.housing : document.next.housing;
    const now = rescaleTransferCurve(curve, {
      from: donor,
      to: document.next.housing,
      air: { temperature: celsius(20) },
    });
    const slope = (cells: readonly { signal: number; flow: number }[], i: number): number =>
      Math.log(cells[i]!.flow / cells[i - 1]!.flow) / Math.log(cells[i]!.signal / cells[i - 1]!.signal);
    const ratios = curve.cells
      .slice(1)
      .map((_, i) => slope(now.curve.cells, i + 1) / slope(curve.cells, i + 1) - 1);
    expect(ratios.length).toBeGreaterThan(15);
    accuracy({
      id: "entry-demo-no-kink",
      area,
      what: "d ln flow / d ln signal of the demo's new curve over the donor's, every segment, less one",
      evidence: "closed form",
      source: "an entry flow has no transition at the pipe's Reynolds number",
      compared: ratios.length,
      measured: 100 * worst(ratios),
      limit: 15,
      unit: "%, worst segment",
    });
  });
});

describe("ratio to scaling by area", () => {
  const housing = (bore: number, run: number): Housing => ({
    section: { shape: "round", bore: { value: mm(bore), u: 0 } },
    blockage: { value: mm2(320), u: 0 },
    element: { from: 0, to: 0.3 },
    run: { value: mm(run * bore), u: 0 },
    upstream: "unknown",
    step: mm(0),
  });
  const flows = [1.6, 2.5, 3.2, 4, 7, 20, 50, 100, 200];
  // Computed elsewhere by the same law: 80 to 86 mm, 20 degC, by the flow in the new housing.
  const table = [
    {
      from: 0.5,
      to: 0.5,
      digits: 4,
      wanted: [1.0045, 1.0037, 1.0033, 1.003, 1.0023, 1.0014, 1.0009, 1.0007, 1.0004],
    },
    {
      from: 1,
      to: 1,
      digits: 4,
      wanted: [1.0062, 1.0052, 1.0047, 1.0042, 1.0033, 1.0021, 1.0013, 1.0009, 1.0005],
    },
    { from: 1, to: 0.5, digits: 3, wanted: [1.058, 1.048, 1.043, 1.039, 1.03, 1.018, 1.012, 1.009, 1.007] },
    { from: 3, to: 0.5, digits: 3, wanted: [1.188, 1.152, 1.135, null, null, 1.057, 1.039, 1.034, 1.03] },
  ] as const;
  it.each(table)("$from to $to diameters", ({ from, to, digits, wanted }) => {
    // The curve of the new housing, rescaled back: the ratio is the inverse of the way there.
    const curve = makeTransferCurve({
      signal: "frequency",
      outside: "hold",
      cells: flows.map((flow, i) => ({
        signal: 1000 + i,
        flow: gramsPerSecond(flow),
        origin: "measured" as const,
        budget: {},
        flags: [],
      })),
    });
    const { cells } = rescaleTransferCurve(curve, {
      from: housing(86, to),
      to: housing(80, from),
      air: { temperature: celsius(20) },
    });
    const errors = wanted.flatMap((value, i) => (value === null ? [] : [1 / cells[i]!.overAreaOnly - value]));
    accuracy({
      id: `entry-over-area-${from}-${to}`.replaceAll(".", ""),
      area,
      what: `ratio to scaling by area, 80 to 86 mm, ${from} to ${to} diameters, 1.6 to 200 g/s`,
      evidence: "other implementation",
      source: "a table of the same law computed elsewhere (original work, CC0)",
      compared: errors.length,
      measured: worst(errors),
      limit: digits === 4 ? 1.01e-4 : 1.01e-3,
      unit: "absolute, worst (one unit of the table's last digit)",
    });
  });
});

describe("coverage", () => {
  const air = { temperature: celsius(20) };
  const viscosity = 1.8134e-5;
  const random = seededRandom(150_412);
  const within = (from: number, to: number): number => from + (to - from) * random.uniform();
  const one = <T>(list: readonly T[]): T => list[Math.floor(random.uniform() * list.length)] as T;
  const ALIKE = 0.8;
  /** Two standard normal numbers of that correlation. */
  const pair = (shared: number): [number, number] => {
    const z = random.normal();
    return [z, shared * z + Math.sqrt(1 - shared ** 2) * random.normal()];
  };
  /** Two numbers spread evenly with standard deviation one, of nearly that correlation. */
  const evenPair = (shared: number): [number, number] => {
    const even = (): number => Math.sqrt(3) * (2 * random.uniform() - 1);
    const z = even();
    return [z, random.uniform() < shared ? z : even()];
  };
  const UPSTREAM = ["bellmouth", "filter in line", "filter box", "sharp inlet", "unknown"] as const;
  /** Standard uncertainties as the documents state them, run above and below one diameter for the sharp inlet. */
  const installationOf = (upstream: (typeof UPSTREAM)[number], runs: number): number =>
    ({
      bellmouth: 0.007,
      "filter in line": 0.015,
      "filter box": 0.03,
      "sharp inlet": runs <= 1 ? 0.04 : 0.02,
      unknown: 0.05,
    })[upstream];

  /** The housing that is there, as against the one that was measured. */
  interface Truth {
    readonly bore: number;
    readonly open: number;
    readonly distance: number;
    readonly model: EntryModel;
    readonly inflow: number;
    readonly lag: number;
    readonly reading: number;
  }
  function flux(truth: Truth, flow: number): number {
    const re = (4 * flow) / (Math.PI * viscosity * truth.bore);
    const lag = 1 - 0.35 * truth.lag * Math.exp(-4.1 * truth.distance);
    const excess = excessOf(truth.model, re, truth.distance) * (1 + 0.12 * truth.inflow) * lag;
    return (truth.reading * flow * (1 + excess)) / truth.open;
  }

  function swapOnce(): { readonly z: number; readonly zWithout: number; readonly re: number }[] {
    const same = random.uniform() < 0.3;
    const upstreams = [one(UPSTREAM), one(UPSTREAM)];
    if (same) upstreams[1] = upstreams[0] as (typeof UPSTREAM)[number];
    const alike = upstreams[0] === upstreams[1] ? ALIKE : 0;
    const sharedAhead = same ? ALIKE : 0;
    const [inflow, lag, ahead] = [evenPair(alike), pair(alike), pair(sharedAhead)];
    const evenly = 1 + 0.3 * random.normal();
    const bores = [within(0.055, 0.085), 0];
    bores[1] = (bores[0] as number) * within(0.9, 1.3);
    const sides = [0, 1].map((side) => {
      const bore = bores[side] as number;
      const upstream = upstreams[side] as (typeof UPSTREAM)[number];
      const run = bore * within(0.4, 2.5);
      const uRun = run * within(0.05, 0.2);
      const [blocked, uBlocked] = [within(2e-4, 4e-4), 2e-5];
      const housing: Housing = {
        section: { shape: "round", bore: { value: metres(bore), u: 1e-4 } },
        blockage: { value: squareMetres(blocked), u: uBlocked },
        element: { from: 0, to: 0.3 },
        run: { value: metres(run), u: uRun },
        upstream,
        step: mm(0),
        ...(same ? { sameAhead: true } : {}),
      };
      const trueBore = bore + 1e-4 * random.normal();
      const layer = upstream === "bellmouth" ? 0.1 + 0.05 * random.normal() : 0;
      const truth = (reading: number): Truth => ({
        bore: trueBore,
        open: (Math.PI / 4) * trueBore ** 2 - evenly * (blocked + uBlocked * zBlocked),
        distance,
        model,
        inflow: inflow[side] as number,
        lag: 1 + 0.5 * (lag[side] as number),
        reading,
      });
      const zBlocked = random.normal();
      const model = one(ENTRY_MODELS);
      const distance = Math.max(0.25, (run + uRun * random.normal()) / trueBore + layer);
      const u = installationOf(upstream, run / bore);
      return { housing, plain: truth(1), installed: truth(Math.exp(u * (ahead[side] as number))) };
    });
    const [from, to] = sides as [(typeof sides)[number], (typeof sides)[number]];
    const accuracyOfTable = 0.005;
    const error = Math.exp(accuracyOfTable * random.normal());
    const flows = [0.0025, 0.0045, 0.012, 0.04, 0.12];
    const { curve } = rescaleTransferCurve(
      makeTransferCurve({
        signal: "frequency",
        outside: "hold",
        cells: flows.map((flow, i) => ({
          signal: 1000 + i,
          flow: flow * error,
          origin: "measured" as const,
          budget: { element: accuracyOfTable },
          flags: [],
        })),
      }),
      { from: from.housing, to: to.housing, air },
    );
    return curve.cells.map((cell, i) => {
      const trueFlow = (a: Truth, b: Truth): number => {
        let flow = cell.flow;
        for (let k = 0; k < 40; k++) flow *= flux(a, flows[i] as number) / flux(b, flow);
        return flow;
      };
      const { installation: _, ...rest } = cell.budget as ErrorBudget;
      return {
        z: Math.log(cell.flow / trueFlow(from.installed, to.installed)) / combinedUncertainty(cell.budget),
        zWithout: Math.log(cell.flow / trueFlow(from.plain, to.plain)) / combinedUncertainty(rest),
        re: (4 * (flows[i] as number)) / (Math.PI * viscosity * from.plain.bore),
      };
    });
  }

  const scores = Array.from({ length: 2000 }, swapOnce).flat();
  const share = (values: readonly number[]): number =>
    (100 * values.filter((value) => Math.abs(value) <= 1.96).length) / values.length;
  it.each([
    ["with", scores.map(({ z }) => z)],
    ["without", scores.map(({ zWithout }) => zWithout)],
    ["without, Re under 4,000,", scores.filter(({ re }) => re < 4000).map(({ zWithout }) => zWithout)],
  ] as const)("95 %% intervals, %s draws of what is ahead", (name, z) => {
    accuracy({
      id: `entry-coverage-${name.replaceAll(/[ ,]+/gu, "-").replace(/-$/u, "")}`,
      area,
      what: `2,000 random swaps, 5 flows each, truth by other models, ${name} draws of what is ahead: coverage of 95 % intervals is ${share(z).toFixed(1)} %; how far from 95`,
      evidence: "simulation",
      source: "laminar equations below Re 4,000, one of three turbulent-layer models a housing above",
      compared: z.length,
      measured: Math.abs(share(z) - 95),
      limit: 2,
      unit: "% of intervals",
    });
  });
});
