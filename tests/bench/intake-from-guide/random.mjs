// Seeded random numbers of the second generator: a 32-bit mixing generator and the polar method for the normal distribution.

export function randomFrom(seed) {
  let state = seed >>> 0;
  const uniform = () => {
    state = (state + 0x9e3779b9) >>> 0;
    let mixed = state;
    mixed = Math.imul(mixed ^ (mixed >>> 16), 0x21f0aaad);
    mixed = Math.imul(mixed ^ (mixed >>> 15), 0x735a2d97);
    return ((mixed ^ (mixed >>> 15)) >>> 0) / 4294967296;
  };
  const between = (low, high) => low + (high - low) * uniform();
  const normal = (sd = 1) => {
    for (;;) {
      const x = 2 * uniform() - 1;
      const y = 2 * uniform() - 1;
      const s = x * x + y * y;
      if (s > 0 && s < 1) return sd * x * Math.sqrt((-2 * Math.log(s)) / s);
    }
  };
  const pick = (list) => list[Math.floor(uniform() * list.length)];
  return { uniform, between, normal, pick };
}
