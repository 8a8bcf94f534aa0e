import { chooseTransferLaw, evaluateLaw, fitTransferLaw, invertLaw, type LawPoint } from "bellmouth/sensor";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { evenly } from "../support/evenly.js";

const runs = { seed: 20, numRuns: 60 };

/** A meter that follows King's law: n, the share of the lowest signal squared that is lost to still air, points. */
const king = fc
  .record({
    n: fc.double({ min: 0.25, max: 0.6, noNaN: true }),
    share: fc.double({ min: 0.1, max: 0.95, noNaN: true }),
    low: fc.double({ min: 0.4, max: 2, noNaN: true }),
    span: fc.double({ min: 1.5, max: 5, noNaN: true }),
    count: fc.integer({ min: 6, max: 30 }),
  })
  .map(({ n, share, low, span, count }) => {
    const a = share * low * low;
    const b = 1.3;
    const points = Array.from({ length: count }, (_, i): LawPoint => {
      const signal = low * (1 + ((span - 1) * i) / (count - 1));
      return { signal, flow: ((signal * signal - a) / b) ** (1 / n) };
    });
    return { a, b, n, points };
  });

/** Ripple of up to 2 %, drawn point by point. */
const rippled = fc.tuple(king, fc.array(evenly(-0.02, 0.02), { minLength: 30, maxLength: 30 }));
const ripple = (points: readonly LawPoint[], parts: readonly number[]): LawPoint[] =>
  points.map((point, i) => ({ ...point, flow: point.flow * (1 + (parts[i] as number)) }));

describe("transfer law", () => {
  it("finds an exact King law again, whatever its constants", () => {
    fc.assert(
      fc.property(king, ({ a, b, n, points }) => {
        const { curve, status } = fitTransferLaw(points, { form: "king" });
        if (curve.form !== "king") throw new Error("another form");
        expect(status).toBe("converged");
        expect(Math.abs(curve.n / n - 1)).toBeLessThan(1e-6);
        expect(Math.abs(curve.b / b - 1)).toBeLessThan(1e-6);
        expect(Math.abs(curve.a - a)).toBeLessThan(1e-6 * (points[0]?.signal as number) ** 2);
      }),
      runs,
    );
  });
  it("rises with the signal, and inverts, over its points and past them", () => {
    fc.assert(
      fc.property(rippled, fc.constantFrom("within", "above"), ([{ points }, parts], use) => {
        const { law } = chooseTransferLaw(ripple(points, parts), { use });
        const top = law.range.to + (use === "above" ? 0.3 : 0) * (law.range.to - law.range.from);
        let previous = 0;
        for (let i = 0; i <= 20; i++) {
          const signal = law.range.from + ((top - law.range.from) * i) / 20;
          // A law may end while it still rises: past that it refuses rather than bends.
          if (law.rising.to !== null && signal > law.rising.to) break;
          const { flow, u } = evaluateLaw(law, signal);
          expect(flow).toBeGreaterThan(previous);
          expect(u).toBeGreaterThan(0);
          expect(Math.abs(invertLaw(law, flow) / signal - 1)).toBeLessThan(1e-7);
          previous = flow;
        }
      }),
      runs,
    );
  });
  it("does not care in which order points come", () => {
    fc.assert(
      fc.property(rippled, fc.infiniteStream(fc.nat()), ([{ points }, parts], order) => {
        const given = ripple(points, parts);
        const shuffled = given
          .map((point) => ({ point, key: order.next().value as number }))
          .sort((p, q) => p.key - q.key)
          .map(({ point }) => point);
        expect(fitTransferLaw(shuffled, { form: "king" })).toEqual(fitTransferLaw(given, { form: "king" }));
      }),
      runs,
    );
  });
  it("a change of flow unit changes the scale only", () => {
    fc.assert(
      fc.property(rippled, fc.double({ min: 1e-4, max: 1e4, noNaN: true }), ([{ points }, parts], unit) => {
        const given = ripple(points, parts);
        const scaled = given.map((point) => ({ ...point, flow: point.flow * unit }));
        const one = fitTransferLaw(given, { form: "shifted power" });
        const other = fitTransferLaw(scaled, { form: "shifted power" });
        if (one.curve.form !== "shifted power" || other.curve.form !== "shifted power")
          throw new Error("form");
        expect(Math.abs(other.curve.exponent / one.curve.exponent - 1)).toBeLessThan(1e-6);
        expect(Math.abs(other.rms / one.rms - 1)).toBeLessThan(1e-6);
        for (const { signal } of given) {
          const ratio = evaluateLaw(other, signal).flow / evaluateLaw(one, signal).flow;
          expect(Math.abs(ratio / unit - 1)).toBeLessThan(1e-7);
        }
      }),
      runs,
    );
  });
  it("a change of signal unit changes nothing of the flow", () => {
    fc.assert(
      fc.property(rippled, fc.double({ min: 1e-3, max: 1e4, noNaN: true }), ([{ points }, parts], unit) => {
        const given = ripple(points, parts);
        const one = fitTransferLaw(given, { form: "king" });
        const other = fitTransferLaw(
          given.map((point) => ({ ...point, signal: point.signal * unit })),
          { form: "king" },
        );
        for (const { signal } of given) {
          const ratio = evaluateLaw(other, signal * unit).flow / evaluateLaw(one, signal).flow;
          expect(Math.abs(ratio - 1)).toBeLessThan(1e-7);
        }
      }),
      runs,
    );
  });
  it("refuses NaN wherever it is put", () => {
    fc.assert(
      fc.property(king, fc.nat(), fc.constantFrom("signal", "flow", "u"), ({ points }, at, where) => {
        const given = points.map((point, i) => ({
          ...point,
          u: 0.01,
          ...(i === at % points.length ? { [where]: Number.NaN } : {}),
        }));
        expect(() => fitTransferLaw(given, { form: "king" })).toThrow(/E_DOMAIN/);
        expect(() => chooseTransferLaw(given, { use: "within" })).toThrow(/E_DOMAIN/);
      }),
      runs,
    );
  });
});
