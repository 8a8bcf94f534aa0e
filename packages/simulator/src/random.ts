/** A stream of random numbers. Passed in, never global, so that a drive is the same for the same seed. */
export interface Random {
  /** Uniform on [0, 1). */
  readonly uniform: () => number;
  /** Normal, mean 0, standard deviation 1. */
  readonly normal: () => number;
}

/**
 * Seeded generator: xoshiro128** seeded by splitmix32, normals by the polar method.
 *
 * @param seed any integer; the same seed gives the same stream on every machine
 * @source D. Blackman, S. Vigna, "Scrambled linear pseudorandom number generators", ACM TOMS 47 (2021), the
 *   32-bit generator xoshiro128**; G. Marsaglia, T. A. Bray, SIAM Review 6 (1964) 260-264, the polar method.
 * @example
 * seededRandom(1).uniform() === seededRandom(1).uniform(); // true
 */
export function seededRandom(seed: number): Random {
  let mix = seed | 0;
  const splitmix = (): number => {
    mix = (mix + 0x9e3779b9) | 0;
    let z = mix;
    z = Math.imul(z ^ (z >>> 16), 0x21f0aaad);
    z = Math.imul(z ^ (z >>> 15), 0x735a2d97);
    return (z ^ (z >>> 15)) >>> 0;
  };
  let [a, b, c, d] = [splitmix(), splitmix(), splitmix(), splitmix() | 1];
  const next = (): number => {
    const x = Math.imul(b, 5);
    const result = Math.imul((x << 7) | (x >>> 25), 9) >>> 0;
    const t = b << 9;
    c ^= a;
    d ^= b;
    b ^= c;
    a ^= d;
    c ^= t;
    d = (d << 11) | (d >>> 21);
    return result;
  };
  const uniform = (): number => (next() * 2 ** 21 + (next() >>> 11)) / 2 ** 53;
  let spare = Number.NaN;
  const normal = (): number => {
    if (!Number.isNaN(spare)) {
      const kept = spare;
      spare = Number.NaN;
      return kept;
    }
    for (;;) {
      const u = 2 * uniform() - 1;
      const v = 2 * uniform() - 1;
      const q = u * u + v * v;
      if (q > 0 && q < 1) {
        const scale = Math.sqrt((-2 * Math.log(q)) / q);
        spare = v * scale;
        return u * scale;
      }
    }
  };
  return { uniform, normal };
}

/** Uniform between two ends. */
export const between = (random: Random, from: number, to: number): number =>
  from + (to - from) * random.uniform();
