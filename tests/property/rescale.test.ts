import {
  type Housing,
  makeTransferCurve,
  openArea,
  rescaleTransferCurve,
  type TransferCurve,
} from "bellmouth/sensor";
import { celsius, type Length, metres, squareMetres } from "bellmouth/units";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { evenly } from "../support/evenly.js";

// Round-trip and order properties on random housings and curves; the physics is checked elsewhere.

const air = { temperature: celsius(20) };
const seed = 20240607;
const exact = <T extends number>(value: T): { value: T; u: number } => ({ value, u: 0 });
const unit = evenly(0, 1);
const length = (min: number, max: number): fc.Arbitrary<Length> =>
  fc.double({ min, max, noNaN: true }).map((value) => metres(value));

const section: fc.Arbitrary<Housing["section"]> = fc.oneof(
  length(0.03, 0.15).map((bore) => ({ shape: "round" as const, bore: exact(bore) })),
  fc.tuple(length(0.03, 0.15), length(0.03, 0.15)).map(([width, height]) => ({
    shape: "rectangle" as const,
    width: exact(width),
    height: exact(height),
  })),
  fc.tuple(length(0.03, 0.15), fc.double({ min: 1, max: 3, noNaN: true })).map(([d, more]) => ({
    shape: "other" as const,
    area: exact(squareMetres((Math.PI * d * d) / 4)),
    perimeter: exact(metres(Math.PI * d * more)),
  })),
);

const housing: fc.Arbitrary<Housing> = fc
  .record({
    section,
    blocked: evenly(0, 0.4),
    a: evenly(0, 0.7),
    b: evenly(0, 0.7),
    run: fc.oneof(length(0.005, 0.3), fc.constant("developed" as const)),
    upstream: fc.constantFrom<Housing["upstream"][]>("bellmouth", "screen", "straightener", "sharp inlet", {
      part: "elbow",
      ductBefore: exact(metres(0.1)),
    }),
    step: fc.constantFrom(0, 0, 0.001, -0.001),
  })
  .map(({ section: duct, blocked, a, b, run, upstream, step }) => {
    const bare: Housing = {
      section: duct,
      blockage: exact(squareMetres(0)),
      element: { from: Math.min(a, b), to: Math.max(a, b) },
      run: run === "developed" ? run : exact(run),
      upstream,
      step: metres(run === "developed" ? 0 : step),
    };
    return { ...bare, blockage: exact(squareMetres(blocked * openArea(bare))) };
  });

/** 2 to 60 cells from 0.05 g/s up, so that every curve passes laminar and transition somewhere. */
const curve: fc.Arbitrary<TransferCurve> = fc
  .array(fc.double({ min: 0.01, max: 0.6, noNaN: true }), { minLength: 1, maxLength: 59 })
  .map((steps) => {
    let ln = Math.log(5e-5);
    const cells = [0, ...steps].map((step, i) => {
      ln += step;
      return {
        signal: 1000 + 10 * i,
        flow: Math.exp(ln),
        origin: "measured" as const,
        budget: {},
        flags: [],
      };
    });
    return makeTransferCurve({ signal: "frequency", outside: "hold", cells });
  });

const flows = (c: TransferCurve): readonly number[] => c.cells.map((cell) => cell.flow);
const worst = (a: readonly number[], b: readonly number[]): number =>
  Math.max(...a.map((value, i) => Math.abs(value / (b[i] as number) - 1)));

describe("rescaling", () => {
  it("there and back is the identity to 1e-12", () => {
    fc.assert(
      fc.property(curve, housing, housing, (old, a, b) => {
        const there = rescaleTransferCurve(old, { from: a, to: b, air });
        const back = rescaleTransferCurve(there.curve, { from: b, to: a, air });
        expect(worst(flows(back.curve), flows(old))).toBeLessThan(1e-12);
      }),
      { seed, numRuns: 400 },
    );
  });

  it("solves its own equation: kappa m / A is the same in both housings", () => {
    fc.assert(
      fc.property(curve, housing, housing, (old, a, b) => {
        const { curve: now, cells } = rescaleTransferCurve(old, { from: a, to: b, air });
        cells.forEach(({ kappaFrom, kappaTo, factor }, i) => {
          const before = (kappaFrom * (old.cells[i]?.flow as number)) / openArea(a);
          const after = (kappaTo * (now.cells[i]?.flow as number)) / openArea(b);
          expect(Math.abs(after / before - 1)).toBeLessThan(1e-12);
          expect(factor).toBeGreaterThan(0);
        });
      }),
      { seed, numRuns: 200 },
    );
  });

  it("by way of a third housing is the same as directly", () => {
    fc.assert(
      fc.property(curve, housing, housing, housing, (old, a, b, c) => {
        const direct = rescaleTransferCurve(old, { from: a, to: c, air });
        const first = rescaleTransferCurve(old, { from: a, to: b, air });
        const second = rescaleTransferCurve(first.curve, { from: b, to: c, air });
        expect(worst(flows(second.curve), flows(direct.curve))).toBeLessThan(1e-11);
      }),
      { seed, numRuns: 200 },
    );
  });

  it("keeps flows strictly increasing, and finite", () => {
    fc.assert(
      fc.property(curve, housing, housing, (old, a, b) => {
        const now = flows(rescaleTransferCurve(old, { from: a, to: b, air }).curve);
        for (let i = 1; i < now.length; i++) expect(now[i]).toBeGreaterThan(now[i - 1] as number);
      }),
      { seed, numRuns: 200 },
    );
  });

  it("the same housing gives the same numbers, factor 1 exactly", () => {
    fc.assert(
      fc.property(curve, housing, (old, a) => {
        const copy = structuredClone(a);
        const { curve: now, cells, areaRatio } = rescaleTransferCurve(old, { from: a, to: copy, air });
        expect(flows(now)).toEqual(flows(old));
        expect(cells.every(({ factor }) => factor === 1)).toBe(true);
        expect(areaRatio).toBe(1);
      }),
      { seed, numRuns: 100 },
    );
  });

  it("does not know its scale: sizes times k and flows times k leave the factor", () => {
    // Re = 4 m / (pi mu D) is unchanged when flow and every length grow by the same k; so is the area ratio.
    const grown = (h: Housing, k: number): Housing => {
      const s = h.section;
      const duct: Housing["section"] =
        s.shape === "round"
          ? { shape: "round", bore: exact(metres(s.bore.value * k)) }
          : s.shape === "rectangle"
            ? {
                shape: "rectangle",
                width: exact(metres(s.width.value * k)),
                height: exact(metres(s.height.value * k)),
              }
            : {
                shape: "other",
                area: exact(squareMetres(s.area.value * k * k)),
                perimeter: exact(metres(s.perimeter.value * k)),
              };
      return {
        ...h,
        section: duct,
        blockage: exact(squareMetres(h.blockage.value * k * k)),
        run: h.run === "developed" ? h.run : exact(metres(h.run.value * k)),
        upstream:
          typeof h.upstream === "string"
            ? h.upstream
            : { ...h.upstream, ductBefore: exact(metres(h.upstream.ductBefore.value * k)) },
        step: metres(h.step * k),
      };
    };
    fc.assert(
      fc.property(curve, housing, housing, fc.double({ min: 0.3, max: 3, noNaN: true }), (old, a, b, k) => {
        const plain = rescaleTransferCurve(old, { from: a, to: b, air });
        const cells = old.cells.map((cell) => ({ ...cell, flow: cell.flow * k }));
        const big = rescaleTransferCurve({ ...old, cells }, { from: grown(a, k), to: grown(b, k), air });
        const factors = (r: typeof plain): number[] => r.cells.map(({ factor }) => factor);
        expect(worst(factors(big), factors(plain))).toBeLessThan(1e-10);
      }),
      { seed, numRuns: 200 },
    );
  });

  it("a larger bore lowers the signal at a given flow", () => {
    fc.assert(
      fc.property(
        curve,
        length(0.04, 0.1),
        fc.double({ min: 1.001, max: 2, noNaN: true }),
        unit,
        length(0.005, 0.3),
        (old, bore, k, r, run) => {
          const round = (d: number): Housing => ({
            section: { shape: "round", bore: exact(metres(d)) },
            blockage: exact(squareMetres(0)),
            element: { from: r * 0.7, to: r * 0.7 },
            run: exact(run),
            upstream: "bellmouth",
            step: metres(0),
          });
          const now = rescaleTransferCurve(old, { from: round(bore), to: round(bore * k), air });
          // More flow for the same signal, so less signal for the same flow.
          now.curve.cells.forEach((cell, i) => {
            expect(cell.flow).toBeGreaterThan(old.cells[i]?.flow as number);
          });
        },
      ),
      { seed, numRuns: 300 },
    );
  });
});
