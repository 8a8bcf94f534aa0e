import { describe, expect, it } from "vitest";
import { quantise, storageFromBits } from "./index.js";

const format = { step: 0.25, offset: 1, from: 1, to: 3 };

describe("storageFromBits", () => {
  it("knows the ends of unsigned and signed formats", () => {
    expect(storageFromBits({ bits: 8, signed: false, step: 2, offset: 10 })).toMatchObject({
      from: 10,
      to: 520,
    });
    expect(storageFromBits({ bits: 8, signed: true, step: 0.5, offset: 0 })).toMatchObject({
      from: -64,
      to: 63.5,
    });
  });
});

describe("quantise", () => {
  it("rounds to the nearest code, halves upwards", () => {
    const stored = quantise([1.1, 1.13, 1.125, 2.87], format, { keep: "nothing" });
    expect(stored.values).toEqual([1, 1.25, 1.25, 2.75]);
    expect(stored.codes).toEqual([0, 1, 1, 7]);
    expect(stored.flags.flat()).toEqual([]);
  });
  it("clips and says so, keeping what it would have been", () => {
    const stored = quantise([0.2, 2, 3.6], format, { keep: "increasing" });
    expect(stored.values).toEqual([1, 2, 3]);
    expect(stored.unclipped).toEqual([0.25, 2, 3.5]);
    expect(stored.flags).toEqual([["clipped"], [], ["clipped"]]);
  });
  it("marks clipped neighbours that have become equal", () => {
    const stored = quantise([2.9, 3.3, 3.6], format, { keep: "increasing" });
    expect(stored.values).toEqual([2.75, 3, 3]);
    expect(stored.flags).toEqual([["moved"], ["clipped"], ["clipped", "out of order"]]);
  });
  it("spreads values that would share a code, as little as possible", () => {
    const stored = quantise([1, 1.51, 1.52, 1.53, 2.5], format, { keep: "increasing" });
    expect(stored.codes).toEqual([0, 1, 2, 3, 6]);
    expect(stored.flags).toEqual([[], ["moved"], [], ["moved"], []]);
  });
  it("keeps clear of the end of the format", () => {
    expect(quantise([2.95, 2.96, 2.97], format, { keep: "increasing" }).codes).toEqual([6, 7, 8]);
    expect(quantise([1, 1, 1], format, { keep: "increasing" }).codes).toEqual([0, 1, 2]);
    expect(quantise([1, 1, 1], format, { keep: "decreasing" }).codes).toEqual([2, 1, 0]);
  });
  it("says where order is out of reach", () => {
    const stored = quantise([1.1, 1.2, 1.3], { ...format, to: 1.25 }, { keep: "increasing" });
    expect(stored.flags.flat()).toContain("out of order");
  });
  it.each([[{ ...format, step: 0 }], [{ ...format, step: Number.NaN }], [{ ...format, from: 3, to: 1 }]])(
    "refuses the format %j",
    (bad) => {
      expect(() => quantise([1], bad, { keep: "nothing" })).toThrow(/E_DOMAIN/);
    },
  );
  it("refuses values that are not finite", () => {
    expect(() => quantise([Number.NaN], format, { keep: "nothing" })).toThrow(/values\[0\].*E_DOMAIN/);
  });
});
