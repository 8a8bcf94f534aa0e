import { BellmouthError } from "../fault/index.js";

/** A source of random numbers, passed in wherever chance is needed so that every result can be repeated. */
export interface RandomSource {
  /** uniform on [0, 1), all 53 bits random [1] */
  uniform(): number;
  /** standard normal: mean 0, standard deviation 1 [1] */
  normal(): number;
}

const rotate = (x: number, k: number): number => (x << k) | (x >>> (32 - k));

/**
 * The generator xoshiro128** from four 32-bit words of state: each call gives the next unsigned 32-bit word.
 *
 * @param state four words, not all zero [1]
 * @throws `E_DOMAIN` when every word is zero, from which the generator never leaves
 * @source D. Blackman, S. Vigna, "Scrambled linear pseudorandom number generators", ACM Trans. Math. Softw. 47
 *   (2021) 36; generator xoshiro128**, version 1.1
 */
export function xoshiro128(state: readonly [number, number, number, number]): () => number {
  let [a, b, c, d] = state.map((word) => word | 0) as [number, number, number, number];
  if ((a | b | c | d) === 0) {
    throw new BellmouthError({
      code: "E_DOMAIN",
      message: "a generator cannot start from an all-zero state",
      found: "0, 0, 0, 0",
      accepted: "four 32-bit words, at least one not zero",
      at: { path: "state" },
    });
  }
  return () => {
    const word = Math.imul(rotate(Math.imul(b, 5), 7), 9);
    const shifted = b << 9;
    c ^= a;
    d ^= b;
    b ^= c;
    a ^= d;
    c ^= shifted;
    d = rotate(d, 11);
    return word >>> 0;
  };
}

/** Spreads one seed over the state words, so that neighbouring seeds give unrelated sequences. */
function spread(seed: number): () => number {
  // The low and the high half of the integer both count, so seeds up to 2^53 differ.
  let z = (seed | 0) ^ Math.imul(Math.floor(seed / 0x1_0000_0000), 0x85ebca6b);
  return () => {
    z = (z + 0x9e3779b9) | 0;
    let t = z ^ (z >>> 16);
    t = Math.imul(t, 0x21f0aaad);
    t ^= t >>> 15;
    t = Math.imul(t, 0x735a2d97);
    return t ^ (t >>> 15);
  };
}

/**
 * A repeatable random source. The same seed gives the same numbers on every machine.
 *
 * @param seed whole number, 0 to 2^53 - 1 [1]
 * @throws `E_DOMAIN` when the seed is not such a number
 * @source xoshiro128** (see `xoshiro128`); normal deviates by G. Marsaglia's polar method, SIAM Review 6 (1964) 260
 * @example
 * seededRandom(1).uniform() === seededRandom(1).uniform() // => true
 */
export function seededRandom(seed: number): RandomSource {
  if (!(Number.isSafeInteger(seed) && seed >= 0)) {
    throw new BellmouthError({
      code: "E_DOMAIN",
      message: "a seed is a whole number",
      found: String(seed),
      accepted: "0 to 2^53 - 1",
      at: { path: "seed" },
    });
  }
  const word = spread(seed);
  const next = xoshiro128([word(), word(), word(), word() | 1]);
  const uniform = (): number => ((next() >>> 5) * 0x400_0000 + (next() >>> 6)) / 0x20_0000_0000_0000;
  let spare = Number.NaN;
  const normal = (): number => {
    if (!Number.isNaN(spare)) {
      const kept = spare;
      spare = Number.NaN;
      return kept;
    }
    for (;;) {
      const x = 2 * uniform() - 1;
      const y = 2 * uniform() - 1;
      const square = x * x + y * y;
      if (square > 0 && square < 1) {
        const scale = Math.sqrt((-2 * Math.log(square)) / square);
        spare = y * scale;
        return x * scale;
      }
    }
  };
  return { uniform, normal };
}
