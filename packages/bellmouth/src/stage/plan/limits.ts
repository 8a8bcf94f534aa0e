/**
 * From where on a plan needs a decision before the first start. Chosen; shown in docs/concepts/verdicts.md and held by test.
 */
export const LIMITS = {
  /** Probability that a demand exceeds the usable signal or the table [1]: one car in fifty. */
  chance: 0.02,
  /** 95 % interval of the table at idle, either way [1]: about what fuel trims can hide (common practice, no source). */
  idle: 0.2,
  /** 95 % interval of a cell that a demand reaches, either way [1]. */
  reached: 0.1,
  /** Shift of the load axis by what the table adds to the air [cells]: the ECU then looks up nearer to the next column. */
  loadShift: 0.5,
} as const;
