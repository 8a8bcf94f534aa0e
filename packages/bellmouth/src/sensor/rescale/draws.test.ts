import { describe, expect, it } from "vitest";
import { seededRandom } from "../../fit/index.js";
import { select } from "./draws.js";

describe("select", () => {
  it("gives what sorting would, for every rank, with repeats, in a part of a list", () => {
    const random = seededRandom(7);
    for (let turn = 0; turn < 200; turn++) {
      const length = 1 + Math.floor(30 * random.uniform());
      // Few different values in every other list.
      const values = Float64Array.from({ length: length + 4 }, () =>
        turn % 2 === 0 ? random.uniform() : Math.floor(4 * random.uniform()),
      );
      const sorted = values.slice(2, 2 + length).sort();
      for (let k = 0; k < length; k++) {
        const given = Float64Array.from(values);
        expect(select(given, 2, 2 + length, k)).toBe(sorted[k]);
        // What lies outside of the part stays where it was.
        expect([given[0], given[1], given.at(-2), given.at(-1)]).toEqual([
          values[0],
          values[1],
          values.at(-2),
          values.at(-1),
        ]);
      }
    }
  });
});
