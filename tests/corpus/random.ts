/** Random numbers from a fixed seed (mulberry32): the same corpus on every machine. */
export interface Random {
  /** uniform in [0, 1) */
  next(): number;
  /** standard normal (sum of twelve uniforms) */
  normal(): number;
  pick<T>(list: readonly T[]): T;
  chance(share: number): boolean;
}

export function random(seed: number): Random {
  let state = seed >>> 0;
  const next = (): number => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
  return {
    next,
    normal() {
      let sum = -6;
      for (let i = 0; i < 12; i++) sum += next();
      return sum;
    },
    pick: (list) => list[Math.floor(next() * list.length)]!,
    chance: (share) => next() < share,
  };
}
