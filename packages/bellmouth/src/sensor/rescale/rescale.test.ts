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
  development: { value: 1, u: 0 },
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
  it("a flat profile scales by open area alone", () => {
    const flat = { development: { value: 0, u: 0 } };
    const { curve: now, areaRatio } = rescaleTransferCurve(old, {
      from: housing(70, { ...flat, blockage: { value: mm2(300), u: 0 } }),
      to: housing(80, { ...flat, blockage: { value: mm2(350), u: 0 } }),
      air,
    });
    const wanted = ((Math.PI / 4) * 80 ** 2 - 350) / ((Math.PI / 4) * 70 ** 2 - 300);
    expect(areaRatio).toBeCloseTo(wanted, 12);
    now.cells.forEach((cell, i) => {
      expect(cell.flow / (old.cells[i]?.flow as number)).toBeCloseTo(wanted, 12);
    });
  });

  it("agrees with the public profile factor where no fold is levelled, and says what area alone would miss", () => {
    const from = housing(70);
    const to = housing(85, { element: { from: 0.5, to: 0.7 }, development: { value: 0.8, u: 0 } });
    const { cells } = rescaleTransferCurve(old, { from, to, air });
    for (const note of cells.filter(({ ambiguous }) => !ambiguous)) {
      expect(note.kappaFrom).toBeCloseTo(profileFactor(note.reynoldsFrom, from.element, 1), 10);
      expect(note.kappaTo).toBeCloseTo(profileFactor(note.reynoldsTo, to.element, 0.8), 10);
      expect(note.overAreaOnly).toBeCloseTo(note.kappaFrom / note.kappaTo, 10);
    }
    // Off the axis the new element sees slower air than the old one did: area alone would read lean by a tenth.
    expect(cells[5]?.overAreaOnly).toBeGreaterThan(1.1);
  });

  it("flags cells laminar or in transition in either housing, by pipe Reynolds number", () => {
    // 1 g/s in 70 mm: Re 999, and in 80 mm the same signal is 1.3 g/s, Re 1140. 2.5 g/s: Re 2500 and more. 20 g/s: 20,000.
    const { curve: now } = rescaleTransferCurve(old, { from: housing(70), to: housing(80), air });
    expect(now.cells.map(({ flags }) => flags)).toEqual([["laminar"], ["transition"], [], [], [], []]);
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
    const law = fluxLaw({ from: 0, to: 0 }, 1);
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
  it("is not there for flat flow or off the axis", () => {
    expect(fluxLaw({ from: 0, to: 0 }, 0.2).fold).toBeUndefined();
    expect(fluxLaw({ from: 0.7, to: 0.7 }, 1).fold).toBeUndefined();
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
  const bored = (d: number, u: number): Housing =>
    housing(d, {
      section: { shape: "round", bore: { value: mm(d), u: metres(u / 1000) } },
      development: { value: 0, u: 0 },
    });

  it("bore: twice its relative error, from either side (flat profile)", () => {
    expect(budgetOf(bored(70, 0.07), bored(80, 0)).bore).toBeCloseTo(2e-3, 9);
    expect(budgetOf(bored(70, 0), bored(80, 0.08)).bore).toBeCloseTo(2e-3, 9);
    expect(budgetOf(bored(70, 0.07), bored(80, 0.08)).bore).toBeCloseTo(2e-3 * Math.SQRT2, 9);
  });
  it("bores measured with one gauge of a wrong scale cancel", () => {
    const swap = { from: bored(70, 0.07), to: bored(80, 0.08), air };
    const cell = rescaleTransferCurve(turbulent, { ...swap, correlation: { bore: 1 } }).curve.cells[1];
    expect(cell?.budget.bore).toBeLessThan(1e-9);
  });
  it("blockage: its error over the open area", () => {
    const blocked = housing(70, {
      blockage: { value: mm2(300), u: mm2(30) },
      development: { value: 0, u: 0 },
    });
    const open = (Math.PI / 4) * 70 ** 2 - 300;
    expect(budgetOf(blocked, housing(80, { development: { value: 0, u: 0 } })).blockage).toBeCloseTo(
      30 / open,
      9,
    );
  });
  it("development: by its derivative, checked against moving it", () => {
    const to = (development: number, u: number): Housing =>
      housing(80, { development: { value: development, u } });
    const at = (development: number): number =>
      Math.log(
        rescaleTransferCurve(turbulent, { from: housing(70), to: to(development, 0), air }).curve.cells[1]
          ?.flow as number,
      );
    const moved = (at(0.51) - at(0.49)) / 0.02;
    expect(budgetOf(housing(70), to(0.5, 0.1)).development).toBeCloseTo(Math.abs(moved) * 0.1, 4);
  });
  it("profile: the pipe law's error cancels between housings at like Re, and nothing is added for a flat profile", () => {
    const near = budgetOf(housing(70), housing(71)).profile as number;
    const far = budgetOf(housing(70), housing(120)).profile as number;
    expect(near).toBeLessThan(0.002);
    expect(far).toBeGreaterThan(0.008);
    expect(budgetOf(bored(70, 0), bored(80, 0)).profile).toBe(0);
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
      development: { value: 0, u: 0 },
    };
    expect(budgetOf(bored(70, 0), duct).bore).toBeCloseTo(Math.hypot(1e-3, 2e-3), 9);
    const other: Housing = {
      ...duct,
      section: {
        shape: "other",
        area: { value: squareMetres(0.0048), u: 4.8e-5 },
        perimeter: { value: metres(0.28), u: 0.01 },
      },
    };
    // With a flat profile the perimeter has no say.
    expect(budgetOf(bored(70, 0), other).bore).toBeCloseTo(0.01, 9);
    expect(budgetOf(housing(70), { ...duct, development: { value: 1, u: 0 } }).profile).toBeGreaterThan(0.05);
  });
});
