import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { apart } from "./marks.js";

describe("labels of marks", () => {
  it("keep their place where they have room", () => {
    expect(apart([100, 200, 300], [true, true, true], 28, 324)).toEqual([100, 200, 300]);
  });

  it("never lie on each other and stay in the frame, in their order", () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: 0, max: 380, noNaN: true }), { minLength: 1, maxLength: 18 }),
        (wanted) => {
          const places = apart(
            wanted,
            wanted.map(() => true),
            28,
            324,
          );
          const order = wanted.map((_, i) => i).sort((i, j) => (wanted[i] ?? 0) - (wanted[j] ?? 0));
          order.forEach((i, k) => {
            expect(places[i]).toBeGreaterThanOrEqual(28 - 1e-9);
            expect(places[i]).toBeLessThanOrEqual(324 + 1e-9);
            if (k > 0)
              expect((places[i] ?? 0) - (places[order[k - 1] ?? 0] ?? 0)).toBeGreaterThanOrEqual(16 - 1e-9);
          });
        },
      ),
      { seed: 7, numRuns: 300 },
    );
  });

  it("leave lines without a label alone", () => {
    expect(apart([100, 101], [true, false], 28, 324)).toEqual([100, 101]);
  });
});
