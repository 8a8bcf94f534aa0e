import { describe, expect, it } from "vitest";
import { celsius, gramsPerSecond, metres, mm, mm2, squareMetres } from "../../units/index.js";
import type { Housing } from "../housing.js";
import { profileFactor } from "../profile/index.js";
import {
  combinedUncertainty,
  type ErrorBudget,
  makeTransferCurve,
  type TransferCurve,
} from "../transfer-curve.js";
import { fluxLaw } from "./flux-law.js";
import { rescaleTransferCurve } from "./rescale.js";

const air = { temperature: celsius(20) };
const housing = (bore: number, more: Partial<Housing> = {}): Housing => ({
  section: { shape: "round", bore: { value: mm(bore), u: 0 } },
  blockage: { value: mm2(0), u: 0 },
  element: { from: 0, to: 0 },
  run: "developed",
  upstream: "bellmouth",
  step: mm(0),
  ...more,
});
const curve = (flows: readonly number[], budget: ErrorBudget = {}): TransferCurve =>
  makeTransferCurve({
    signal: "frequency",
    outside: "hold",
    cells: flows.map((flow, i) => ({
      signal: 1500 + 100 * i,
      flow: gramsPerSecond(flow),
      origin: "measured",
      budget,
      flags: [],
    })),
  });
const old = curve([1, 2.5, 20, 60, 150, 300]);

describe("rescaleTransferCurve", () => {
  it("an element right behind the even plane scales by open area alone", () => {
    const flat = { run: { value: mm(1e-6), u: 0 }, upstream: "filter in line" } as const;
    const { curve: now, areaRatio } = rescaleTransferCurve(old, {
      from: housing(70, { ...flat, blockage: { value: mm2(300), u: 0 } }),
      to: housing(80, { ...flat, blockage: { value: mm2(350), u: 0 } }),
      air,
    });
    const wanted = ((Math.PI / 4) * 80 ** 2 - 350) / ((Math.PI / 4) * 70 ** 2 - 300);
    expect(areaRatio).toBeCloseTo(wanted, 12);
    now.cells.forEach((cell, i) => {
      expect(cell.flow / (old.cells[i]?.flow as number)).toBeCloseTo(wanted, 4);
    });
  });

  it("agrees with the public profile factor where no fold is levelled, and says what area alone would miss", () => {
    const from = housing(70);
    const to = housing(85, { element: { from: 0.5, to: 0.7 }, run: { value: mm(85), u: 0 } });
    const { cells } = rescaleTransferCurve(old, { from, to, air });
    for (const note of cells.filter(({ ambiguous }) => !ambiguous)) {
      expect(note.kappaFrom).toBeCloseTo(profileFactor(note.reynoldsFrom, from.element), 10);
      expect(note.kappaTo).toBeCloseTo(
        profileFactor(note.reynoldsTo, to.element, { distance: 1, layerAhead: 0.1 }),
        10,
      );
      expect(note.overAreaOnly).toBeCloseTo(note.kappaFrom / note.kappaTo, 10);
    }
    // Off the axis the new element sees slower air than the old one did: area alone would read lean by a tenth.
    expect(cells[5]?.overAreaOnly).toBeGreaterThan(1.1);
  });

  it("flags cells in a long pipe's transition, and none in short housings", () => {
    // 2.5 g/s: Re 2500 in 70 mm and more in 80. 20 g/s: 20,000.
    const { curve: now } = rescaleTransferCurve(old, { from: housing(70), to: housing(80), air });
    expect(now.cells.map(({ flags }) => flags)).toEqual([[], ["transition"], [], [], [], []]);
    const run = { value: mm(60), u: mm(10) };
    const short = rescaleTransferCurve(old, { from: housing(70, { run }), to: housing(80, { run }), air });
    expect(short.curve.cells.flatMap(({ flags }) => flags)).toEqual([]);
    expect(short.cells.some(({ ambiguous }) => ambiguous)).toBe(false);
    expect(now.cells.every(({ origin }) => origin === "rescaled")).toBe(true);
  });

  it("a cell extrapolated before stays so, with its flag", () => {
    const cells = old.cells.map((cell, i) =>
      i === 5 ? { ...cell, origin: "extrapolated" as const, flags: ["extrapolated" as const] } : cell,
    );
    const { curve: now } = rescaleTransferCurve(
      { ...old, cells },
      { from: housing(70), to: housing(80), air },
    );
    expect(now.cells[5]?.origin).toBe("extrapolated");
    expect(now.cells[5]?.flags).toEqual(["extrapolated"]);
  });

  it("no flow stays no flow", () => {
    const { curve: now, cells } = rescaleTransferCurve(curve([0, 10, 20]), {
      from: housing(70),
      to: housing(80),
      air,
    });
    expect(now.cells[0]?.flow).toBe(0);
    expect(cells[0]?.factor).toBeCloseTo((80 / 70) ** 2, 12);
    expect(combinedUncertainty(now.cells[0]?.budget as ErrorBudget)).toBeGreaterThanOrEqual(0);
  });

  it("refuses housings and air out of range", () => {
    const swap = { from: housing(70), to: housing(0), air };
    expect(() => rescaleTransferCurve(old, swap)).toThrow(/to\.section\.bore\.value.*E_DOMAIN/);
    expect(() =>
      rescaleTransferCurve(old, { ...swap, to: housing(80), air: { temperature: celsius(-300) } }),
    ).toThrow(/temperature/);
  });
});

describe("the fold on the axis in transition", () => {
  it("is levelled: increasing, the same area under it, untouched outside", () => {
    const law = fluxLaw({ from: 0, to: 0 }, undefined);
    const [from, to] = law.fold as [number, number];
    expect(Math.exp(from)).toBeGreaterThan(1800);
    expect(Math.exp(to)).toBeLessThan(3200);
    let area = 0;
    const step = 1e-3;
    for (let x = Math.log(500); x < Math.log(20000); x += step) {
      expect(law.at(x + step)).toBeGreaterThan(law.at(x));
      area += (law.at(x) - x - law.factorAt(x)) * step;
    }
    expect(Math.abs(area)).toBeLessThan(1e-3 * (to - from));
    expect(law.at(from - 0.01)).toBe(from - 0.01 + law.factorAt(from - 0.01));
  });
  it("is not there in a short housing or off the axis", () => {
    expect(fluxLaw({ from: 0, to: 0 }, { distance: 1 }).fold).toBeUndefined();
    expect(fluxLaw({ from: 0.7, to: 0.7 }, undefined).fold).toBeUndefined();
  });
  it("marks the cells that fall in it", () => {
    const { cells } = rescaleTransferCurve(curve([1, 2.5, 20]), { from: housing(70), to: housing(80), air });
    expect(cells.map(({ ambiguous }) => ambiguous)).toEqual([false, true, false]);
  });
});

describe("what the swap adds to a cell's budget", () => {
  const turbulent = curve([60, 150, 300]);
  const budgetOf = (from: Housing, to: Housing, given = turbulent): ErrorBudget =>
    rescaleTransferCurve(given, { from, to, air }).curve.cells[1]?.budget as ErrorBudget;
  // So short a run that the profile has no say.
  const plain = { run: { value: mm(1e-6), u: 0 }, upstream: "filter in line" } as const;
  const bored = (d: number, u: number): Housing =>
    housing(d, {
      section: { shape: "round", bore: { value: mm(d), u: metres(u / 1000) } },
      ...plain,
    });

  it("bore: twice its relative error, from either side (no profile to speak of)", () => {
    expect(budgetOf(bored(70, 0.07), bored(80, 0)).bore).toBeCloseTo(2e-3, 6);
    expect(budgetOf(bored(70, 0), bored(80, 0.08)).bore).toBeCloseTo(2e-3, 6);
    expect(budgetOf(bored(70, 0.07), bored(80, 0.08)).bore).toBeCloseTo(2e-3 * Math.SQRT2, 6);
  });
  it("bores measured with one gauge of a wrong scale cancel", () => {
    const swap = { from: bored(70, 0.07), to: bored(80, 0.08), air };
    const cell = rescaleTransferCurve(turbulent, { ...swap, correlation: { bore: 1 } }).curve.cells[1];
    expect(cell?.budget.bore).toBeLessThan(1e-6);
  });
  const open = (bore: number, blocked: number): number => (Math.PI / 4) * bore ** 2 - blocked;
  it("blockage: its error over the open area, and how far the blocked flow speeds up evenly", () => {
    const blocked = housing(70, { ...plain, blockage: { value: mm2(300), u: mm2(30) } });
    const wanted = Math.hypot(30, 0.3 * 300) / open(70, 300);
    expect(budgetOf(blocked, housing(80, plain)).blockage).toBeCloseTo(wanted, 5);
  });
  it("blockage: the same probe in both housings leaves 0.3 of the difference of what it blocks", () => {
    const probe = { ...plain, blockage: { value: mm2(320), u: 0 } };
    const wanted = 0.3 * (320 / open(80, 320) - 320 / open(86, 320));
    expect(wanted).toBeCloseTo(0.0029, 4);
    expect(budgetOf(housing(80, probe), housing(86, probe)).blockage).toBeCloseTo(wanted, 5);
  });
  it("the run: by its derivative, checked against moving it", () => {
    const to = (run: number, u: number): Housing =>
      housing(80, { run: { value: mm(run), u: mm(u) }, upstream: "filter in line" });
    const at = (run: number): number =>
      rescaleTransferCurve(turbulent, { from: housing(70), to: to(run, 0), air }).curve.cells[1]
        ?.flow as number;
    const moved = Math.log(at(50) / at(40)) / 2;
    const rest = budgetOf(housing(70), to(45, 0)).profile as number;
    expect(budgetOf(housing(70), to(45, 5)).profile).toBeCloseTo(Math.hypot(rest, moved), 5);
  });
  it("profile: a long pipe's error cancels between housings at like Re", () => {
    const near = budgetOf(housing(70), housing(71)).profile as number;
    const far = budgetOf(housing(70), housing(120)).profile as number;
    expect(near).toBeLessThan(0.002);
    expect(far).toBeGreaterThan(0.008);
  });
  it("profile: what inlets of one kind do cancels in part, of two kinds not", () => {
    const run = { value: mm(60), u: 0 };
    const idle = curve([3, 4, 5]);
    const at = (a: Housing["upstream"], b: Housing["upstream"]): number =>
      budgetOf(housing(70, { run, upstream: a }), housing(80, { run, upstream: b }), idle).profile as number;
    const alike = at("filter in line", "filter in line");
    expect(at("filter in line", "sharp inlet")).toBeGreaterThan(1.7 * alike);
    expect(at("screen", "screen")).toBeLessThan(0.7 * at("screen", "straightener"));
  });
  it("installation: each housing's own, and 0.8 shared only where the very same parts stand ahead", () => {
    const run = { value: mm(60), u: 0 };
    const elbow = { part: "elbow", ductBefore: { value: mm(100), u: 0 } } as const;
    const u = 0.01 + 0.08 * Math.exp(-60 / 70 / 3.5);
    const v = 0.01 + 0.08 * Math.exp(-60 / 80 / 3.5);
    const [a, b] = [housing(70, { run, upstream: elbow }), housing(80, { run, upstream: elbow })];
    expect(budgetOf(a, b).installation).toBeCloseTo(Math.hypot(u, v), 2);
    const together = Math.sqrt(u * u + v * v - 1.6 * u * v);
    expect(budgetOf(a, { ...b, sameAhead: true }).installation).toBeCloseTo(together, 3);
    expect(() => budgetOf(a, housing(80, { run, sameAhead: true }))).toThrow(
      /same parts.*'elbow' and 'bellmouth'/s,
    );
  });
  it("installation: a housing that moves to another car with its element has it too", () => {
    const own = housing(70, { run: { value: mm(60), u: 0 }, upstream: "filter box" });
    const moved = rescaleTransferCurve(turbulent, { from: own, to: own, air, elsewhere: true });
    expect(moved.curve.cells[1]?.flow).toBe(turbulent.cells[1]?.flow);
    expect(moved.curve.cells[1]?.budget).toEqual({ installation: expect.closeTo(0.03 * Math.SQRT2, 9) });
  });
  it("a joint's step: the core is faster behind it, by as much unsure", () => {
    const run = { value: mm(10), u: 0 };
    const [smooth, stepped] = [housing(80, { run }), housing(80, { run, step: mm(1) })];
    const moved = rescaleTransferCurve(turbulent, { from: smooth, to: stepped, air }).curve.cells[1];
    expect(moved?.flow).toBeCloseTo((turbulent.cells[1]?.flow as number) / (1 + 1.5 / 80), 4);
    expect(moved?.budget.installation).toBeCloseTo(Math.hypot(1.5 / 80, 0.007, 0.007), 3);
  });
  it("profile: tens of percent in transition", () => {
    const low = rescaleTransferCurve(curve([1.5, 2, 2.5]), { from: housing(60), to: housing(80), air });
    for (const cell of low.curve.cells) expect(cell.budget.profile).toBeGreaterThan(0.1);
  });
  it("carries what the given table brought", () => {
    const given = curve([60, 150, 300], { element: 0.02, law: 0.01 });
    const budget = budgetOf(housing(70), housing(80), given);
    expect(budget.element).toBeCloseTo(0.02, 3);
    expect(budget.law).toBeCloseTo(0.01, 3);
  });
  it("the same housing adds nothing", () => {
    const given = curve([60, 150, 300], { element: 0.02 });
    expect(budgetOf(housing(70), housing(70), given)).toEqual({ element: 0.02 });
  });
  it("a rectangle: both sides, and its own scatter", () => {
    const duct: Housing = {
      ...housing(70),
      section: {
        shape: "rectangle",
        width: { value: mm(80), u: mm(0.08) },
        height: { value: mm(60), u: mm(0.12) },
      },
      ...plain,
    };
    expect(budgetOf(bored(70, 0), duct).bore).toBeCloseTo(Math.hypot(1e-3, 2e-3), 6);
    const other: Housing = {
      ...duct,
      section: {
        shape: "other",
        area: { value: squareMetres(0.0048), u: 4.8e-5 },
        perimeter: { value: metres(0.28), u: 0.01 },
      },
    };
    // Without a profile the perimeter has no say.
    expect(budgetOf(bored(70, 0), other).bore).toBeCloseTo(0.01, 5);
    expect(budgetOf(housing(70), { ...duct, run: "developed" }).profile).toBeGreaterThan(0.05);
  });
});
