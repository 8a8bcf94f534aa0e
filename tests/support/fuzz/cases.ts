/**
 * Cases of the fuzzing properties. A full run (`BELLMOUTH_FUZZ=full`, a step of the gate) comes to 100,000; an ordinary
 * test run takes a slice of it with the same seeds. `FUZZ_SEED` looks elsewhere.
 */
export const FULL_CASES = {
  commandLine: 40_000,
  table: 30_000,
  log: 17_000,
  yaml: 6_000,
  json: 6_000,
  plan: 700,
  intake: 300,
} as const;

export type FuzzArea = keyof typeof FULL_CASES;

/** An ordinary run's share of a full one. */
const SLICE = 1 / 50;

export const fullFuzz = process.env["BELLMOUTH_FUZZ"] === "full";

/** What fast-check is given: number of cases and seed. */
export function fuzzCases(area: FuzzArea): { readonly numRuns: number; readonly seed: number } {
  const areas = Object.keys(FULL_CASES);
  const cases = FULL_CASES[area] * (fullFuzz ? 1 : SLICE);
  const seed = process.env["FUZZ_SEED"];
  return { numRuns: cases, seed: seed === undefined ? 8100 + areas.indexOf(area) : Number(seed) };
}
