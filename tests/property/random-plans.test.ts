// Plans of documents drawn at random: what is written rises, is nowhere negative, and is nowhere worse than copied values.
import { requireDocument, swapDocument } from "bellmouth/document";
import { planSwap } from "bellmouth/stage";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { fullFuzz } from "../support/fuzz/cases.js";
import { smallSwap } from "../support/fuzz/documents.js";
import { fuzzRuns } from "../support/fuzz-runs.js";

const number = (min: number, max: number) =>
  fc.integer({ min: 0, max: 1_000_000 }).map((n) => min + ((max - min) * n) / 1e6);

const drawn = fc.record({
  power: number(1.3, 5),
  bend: number(0, 2),
  rows: fc.integer({ min: 6, max: 60 }),
  first: number(1000, 2500),
  top: number(60, 400),
  from: fc.oneof(fc.constant(0), number(800, 3000)),
  to: number(8000, 13_000),
  count: fc.integer({ min: 4, max: 64 }),
  step: fc.constantFrom(undefined, 0.001, 0.01, 0.05),
});

/** Inner names of the code, which a user cannot know. */
const INNER =
  /\b(?:cells|demands|limits|options|samples|signals|flows|curve)\[|\b(?:options|bias|thresholds)\./u;

interface Place {
  readonly signal: number;
  readonly flow: number;
}

/** The curve read four times as finely: a cubic through four neighbours in ln flow over ln signal. */
function finer(curve: readonly Place[]): readonly Place[] {
  const places = curve.filter(({ signal, flow }) => signal > 0 && flow > 0);
  const logs = places.map(({ signal, flow }) => ({ x: Math.log(signal), y: Math.log(flow) }));
  const between = logs.slice(0, -3).flatMap((_, i) => {
    const four = logs.slice(i, i + 4);
    const [from, to] = [four[1]?.x ?? 0, four[2]?.x ?? 0];
    return [0.25, 0.5, 0.75].map((share) => {
      const x = from + share * (to - from);
      const y = four.reduce(
        (sum, a) => sum + four.reduce((part, b) => (a === b ? part : (part * (x - b.x)) / (a.x - b.x)), a.y),
        0,
      );
      return { signal: Math.exp(x), flow: Math.exp(y) };
    });
  });
  return [...curve, ...between];
}

describe("plans of random documents", () => {
  // Not in the gate yet: case 180 of this seed lies 1.5 % of a storage step above the mark, cause not established.
  // Some 0.1 s a document: 2,000 take about 4 minutes of one core. `FUZZ=10000` draws more.
  const { numRuns, seed } = fuzzRuns(fullFuzz ? 2000 : 60, 31);
  it(
    "S16, S17, N2: rise strictly, are nowhere negative, no segment worse than sampled by more than half a step, no inner names",
    () => {
      const seen = { written: 0, refused: 0, faults: 0, segments: 0 };
      fc.assert(
        fc.property(drawn, (d) => {
          const rows = Array.from({ length: d.rows }, (_, i) => {
            const signal = d.first + ((11_000 - d.first) * i) / (d.rows - 1);
            const x = signal / 11_000;
            return `${signal},${d.top * x ** d.power * Math.exp(d.bend * (x - 1))}`;
          });
          const table = `signal [Hz],airflow [g/s]\n${rows.join("\n")}\n`;
          const storage =
            d.step === undefined ? "none" : `{ step: ${d.step} g/s, from: 0 g/s, to: 5000 g/s }`;
          const text = smallSwap
            .replace(/axis: .*/u, `axis: { from: ${d.from} Hz, to: ${d.to} Hz, count: ${d.count} }`)
            .replace(/storage: .*/u, `storage: ${storage}`)
            .replace(/rich-bias: [\d.]+/u, "rich-bias: 0");
          const planOf = (fit: string) =>
            planSwap(
              requireDocument([swapDocument], text.replace(/fit: \w+/u, `fit: ${fit}`), { open: () => table })
                .document,
            );
          try {
            const [fitted, sampled] = [planOf("minimax"), planOf("sample")];
            if (fitted.verdict.level === "do not use") {
              seen.refused++;
              return;
            }
            seen.written++;
            const cells = fitted.airflow.cells;
            const step = (d.step ?? 0) / 1000;
            const curve = finer(fitted.airflow.wanted);
            const floor = Math.max(2 * step, 1e-6);
            cells.forEach((cell, i) => {
              const left = cells[i - 1];
              expect(cell.flow).toBeGreaterThanOrEqual(0);
              if (left === undefined) return;
              expect(cell.flow - left.flow).toBeGreaterThan(step * (1 - 1e-6));
              const worstOf = (plan: typeof fitted, of: "flow" | "wanted" = "flow"): number => {
                const [a, b] = [plan.airflow.cells[i - 1], plan.airflow.cells[i]];
                if (a === undefined || b === undefined) throw new Error("a segment");
                return curve
                  .filter(({ signal }) => signal >= a.signal && signal <= b.signal)
                  .reduce((most, { signal, flow }) => {
                    const line = a[of] + ((b[of] - a[of]) * (signal - a.signal)) / (b.signal - a.signal);
                    return Math.max(most, Math.abs(line - flow) / Math.max(flow, floor));
                  }, 0);
              };
              seen.segments++;
              const is = worstOf(fitted);
              // Sampling before storage, or after it where rising by a step at least costs it more.
              const was = Math.max(worstOf(sampled), worstOf(sampled, "wanted"));
              // Tops between the places read are missed by some of them: 2 % of room beside the half step.
              expect(is).toBeLessThanOrEqual(was * 1.02 + (step / 2 + 1e-9) / Math.max(left.wanted, floor));
            });
          } catch (error) {
            if (!(error instanceof Error) || error.name !== "BellmouthError") throw error;
            seen.faults++;
            expect(error.message).not.toMatch(INNER);
          }
        }),
        { numRuns, seed, endOnFailure: true },
      );
      expect(seen.written).toBeGreaterThan(numRuns / 2);
      expect(seen.segments).toBeGreaterThan(numRuns * 10);
    },
    60_000 + 1000 * numRuns,
  );
});
