/**
 * Cases of a fuzzing property: few in an ordinary test run, `FUZZ=100000` for a long one. The seed is fixed unless
 * `FUZZ_SEED` gives another.
 */
export const fuzzRuns = (
  ordinary: number,
  seed: number,
): { readonly numRuns: number; readonly seed: number } => ({
  numRuns: Number(process.env["FUZZ"] ?? ordinary),
  seed: Number(process.env["FUZZ_SEED"] ?? seed),
});
