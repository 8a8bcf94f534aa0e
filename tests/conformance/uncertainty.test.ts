import { seededRandom } from "bellmouth/fit";
import {
  combinedUncertainty,
  type Housing,
  type ModelInput,
  makeTransferCurve,
  monteCarloRescale,
  propagate,
  propagateByDraws,
  rescaleTransferCurve,
} from "bellmouth/sensor";
import { celsius, mm, mm2 } from "bellmouth/units";
import { describe, expect, it } from "vitest";
import { accuracy } from "../support/accuracy.js";
import { dataJson } from "../support/data.js";

const area = "Uncertainty";
const gum = dataJson<{
  GUM_H2: {
    V: number[];
    I_A: number[];
    phi_rad: number[];
    published: { R: number; X: number; Z: number; u: number[]; r_RX: number; r_RZ: number; r_XZ: number };
  };
  JCGM101_9_2_2_normal: { u: number; interval95: [number, number] };
  JCGM101_9_2_3_rect: { u: number; interval95_exact: number };
  JCGM101_9_3_mass: {
    published_MCM: { mean: number; u: number; interval95: [number, number] };
    published_GUF1: { mean: number; u: number };
  };
}>("reference/12e-gum-jcgm101.json");

describe("GUM H.2: resistance and reactance measured together", () => {
  const { V, I_A, phi_rad, published } = gum.GUM_H2;
  const sets = [V, I_A, phi_rad];
  const mean = (values: readonly number[]): number => values.reduce((s, v) => s + v, 0) / values.length;
  const means = sets.map(mean);
  const covarianceOfMeans = sets.map((a, i) =>
    sets.map((b, j) => {
      const sum = a.reduce((s, v, k) => s + (v - means[i]!) * (b[k]! - means[j]!), 0);
      return sum / (a.length * (a.length - 1));
    }),
  );
  const inputs: ModelInput[] = means.map((value, i) => ({ value, u: Math.sqrt(covarianceOfMeans[i]![i]!) }));
  const correlation = covarianceOfMeans.map((row, i) => row.map((c, j) => c / inputs[i]!.u / inputs[j]!.u));
  const impedance = ([v, i, phi]: readonly number[]): number[] => [
    (v! / i!) * Math.cos(phi!),
    (v! / i!) * Math.sin(phi!),
    v! / i!,
  ];
  const result = propagate(impedance, inputs, { correlation });
  const r = (a: number, b: number): number => result.covariance[a]![b]! / result.u[a]! / result.u[b]!;
  const row = { area, evidence: "published values", source: "JCGM 100:2008 (GUM), H.2" } as const;

  it("first order: values, uncertainties, correlations", () => {
    const pairs = [
      [result.values[0]!, published.R],
      [result.values[1]!, published.X],
      [result.values[2]!, published.Z],
      // u(X) is published as 0.295; its own data give 0.2956, so it is held to a whole unit of that digit.
      [result.u[0]!, published.u[0]!],
      [result.u[1]!, published.u[1]!],
      [result.u[2]!, published.u[2]!],
      [r(0, 1), published.r_RX],
      [r(0, 2), published.r_RZ],
      [r(1, 2), published.r_XZ],
    ] as const;
    accuracy({
      ...row,
      id: "uncertainty-gum-h2",
      what: "R, X, Z, their standard uncertainties and correlations from five simultaneous observations",
      compared: pairs.length,
      measured: Math.max(...pairs.map(([got, want]) => Math.abs(got - want))),
      limit: 1e-3,
      unit: "absolute, worst",
    });
  });

  it("by draws the same uncertainties", () => {
    const drawn = propagateByDraws(impedance, inputs, {
      correlation,
      random: seededRandom(31),
      draws: 200_000,
    });
    accuracy({
      ...row,
      id: "uncertainty-gum-h2-draws",
      what: "standard uncertainties of R, X, Z by 200,000 draws of correlated inputs",
      compared: 3,
      measured: Math.max(...drawn.map(({ u }, k) => Math.abs(u - published.u[k]!))),
      limit: 2e-3,
      unit: "absolute, worst",
    });
  });
});

describe("JCGM 101 examples, by the same draws and summaries as a rescale", () => {
  const total = (x: readonly number[]): number[] => [x[0]! + x[1]! + x[2]! + x[3]!];
  const four = (spread: "normal" | "rectangular"): ModelInput[] =>
    Array.from({ length: 4 }, () => ({ value: 0, u: 1, spread }));

  it.each([
    ["normal", gum.JCGM101_9_2_2_normal.interval95[1], "9.2.2"],
    ["rectangular", gum.JCGM101_9_2_3_rect.interval95_exact, "9.2.3"],
  ] as const)("sum of four %s inputs", (spread, half, clause) => {
    // In units of u, as the tolerance is stated for results of u of order one; 4e6 draws leave 0.0013.
    const [got] = propagateByDraws(total, four(spread), { random: seededRandom(7), draws: 4_000_000 });
    const off = [got!.u - 2, got!.low + half, got!.high - half].map((d) => Math.abs(d) / 2);
    accuracy({
      id: `uncertainty-jcgm101-${clause.replaceAll(".", "-")}`,
      area,
      what: `sum of four ${spread} inputs: standard uncertainty and 95 % interval, over u`,
      evidence: "published values",
      source: `JCGM 101:2008, ${clause}`,
      compared: off.length,
      measured: Math.max(...off),
      limit: 0.002,
      unit: "of u, worst",
    });
  });

  it("mass calibration, where first order fails and draws do not", () => {
    const a = (low: number, high: number): ModelInput => ({
      value: (low + high) / 2,
      u: (high - low) / Math.sqrt(12),
      spread: "rectangular",
    });
    const inputs: ModelInput[] = [
      { value: 1e5, u: 0.05 },
      { value: 1.234, u: 0.02 },
      a(1.1, 1.3),
      a(7000, 9000),
      a(7950, 8050),
    ];
    const mass = (x: readonly number[]): number[] => [
      (x[0]! + x[1]!) * (1 + (x[2]! - 1.2) * (1 / x[3]! - 1 / x[4]!)) - 1e5,
    ];
    const { published_MCM: wanted, published_GUF1: first } = gum.JCGM101_9_3_mass;
    const [got] = propagateByDraws(mass, inputs, { random: seededRandom(3), draws: 1_000_000 });
    const off = [
      got!.mean - wanted.mean,
      got!.u - wanted.u,
      got!.low - wanted.interval95[0],
      got!.high - wanted.interval95[1],
    ].map(Math.abs);
    const order1 = propagate(mass, inputs);
    accuracy({
      id: "uncertainty-jcgm101-9-3",
      area,
      what: "mass calibration: estimate, standard uncertainty and 95 % interval [mg], 1,000,000 draws",
      evidence: "published values",
      source: "JCGM 101:2008, 9.3",
      compared: off.length,
      measured: Math.max(...off),
      limit: 0.002,
      unit: "mg, worst",
    });
    expect(order1.values[0]).toBeCloseTo(first.mean, 4);
    expect(order1.u[0]).toBeCloseTo(first.u, 4);
  });
});

describe("a rescale's budget", () => {
  const air = { temperature: celsius(25) };
  const housing = (bore: number, more: Partial<Housing> = {}): Housing => ({
    section: { shape: "round", bore: { value: mm(bore), u: mm(0.05) } },
    blockage: { value: mm2(310), u: mm2(15) },
    element: { from: 0.05, to: 0.25 },
    run: { value: mm(45), u: mm(10) },
    upstream: "bellmouth",
    step: mm(0),
    ...more,
  });
  // An invented 128-cell table of a frequency meter, 2 to 640 g/s, into a bore a fifth larger.
  const table = makeTransferCurve({
    signal: "frequency",
    outside: "hold",
    cells: Array.from({ length: 128 }, (_, i) => ({
      signal: 1400 + 60 * i,
      flow: 0.0014 * Math.exp(5.73 * (i / 127) ** 0.8),
      origin: "measured" as const,
      budget: { element: 0.015, law: 0.005 },
      flags: [],
    })),
  });
  const swaps: readonly (readonly [string, Housing, Housing])[] = [
    ["bellmouths", housing(70), housing(84)],
    [
      "screen to straightener",
      housing(70, { upstream: "screen" }),
      housing(84, { upstream: "straightener" }),
    ],
    [
      "filter box to an elbow",
      housing(70, { upstream: "filter box" }),
      housing(84, {
        run: { value: mm(120), u: mm(20) },
        upstream: { part: "elbow", ductBefore: { value: mm(300), u: mm(50) } },
      }),
    ],
    [
      "a short run, unsure by a half",
      housing(70, { run: { value: mm(25), u: mm(12) } }),
      housing(84, { run: { value: mm(25), u: mm(12) }, step: mm(0.5) }),
    ],
  ];

  it.each(swaps)(
    "first order and Monte Carlo agree within 5 %% in every cell, idle included: %s",
    (name, from, to) => {
      const first = rescaleTransferCurve(table, { from, to, air }).curve.cells;
      const drawn = monteCarloRescale(table, { from, to, air }, { random: seededRandom(17), draws: 40_000 });
      const ratios = first.map(({ budget }, i) => combinedUncertainty(budget) / drawn.cells[i]!.u - 1);
      accuracy({
        area,
        id: `uncertainty-rescale-first-order-${name.replaceAll(/[ ,]+/gu, "-")}`,
        what: `combined standard uncertainty of 128 cells from 1.4 g/s up, first order against 40,000 draws: ${name}`,
        evidence: "simulation",
        source: "an invented 128-cell swap from a 70 to an 84 mm bore",
        compared: ratios.length,
        measured: 100 * ratios.reduce((worst, ratio) => Math.max(worst, Math.abs(ratio)), 0),
        limit: 5,
        unit: "%, worst cell",
      });
    },
  );
});
