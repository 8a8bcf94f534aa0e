import { describe, expect, it } from "vitest";
import { at, omitUndefined } from "./index.js";

describe("an element of a list", () => {
  it.each([
    [[10, 20], 0, 10],
    [[10, 20], 1, 20],
  ])("%j at %d is %d", (list, i, value) => expect(at(list, i)).toBe(value));

  it.each([-1, 2, Number.NaN])("is refused at %d of two", (i) => {
    expect(() => at([10, 20], i)).toThrow(RangeError);
  });
});

describe("a record without undefined", () => {
  it("keeps null, zero and empty text, and the order of the keys", () => {
    expect(Object.entries(omitUndefined({ c: 0, b: undefined, a: null, d: "" }))).toEqual([
      ["c", 0],
      ["a", null],
      ["d", ""],
    ]);
  });

  it("has types to match", () => {
    const made = omitUndefined({ sure: 1 as number, maybe: undefined as string | undefined });
    const sure: number = made.sure;
    const maybe: string | undefined = made.maybe;
    expect([sure, maybe, "maybe" in made]).toEqual([1, undefined, false]);
  });
});
