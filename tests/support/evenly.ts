import fc from "fast-check";

/**
 * Numbers drawn evenly from a range, both ends among them. `fc.double` draws bit patterns: of a range about zero nearly
 * all it draws is next to nothing, so that shares, ripples and offsets are hardly tried.
 */
export const evenly = (min: number, max: number): fc.Arbitrary<number> =>
  fc.integer({ min: 0, max: 2 ** 30 }).map((k) => (k === 2 ** 30 ? max : min + ((max - min) * k) / 2 ** 30));
