import type { TrialRun } from "./run.js";

/**
 * Rates [K/s] under which an engine counts as settled before a pull: 1 K a minute of coolant, 2 K a minute of intake air.
 * Chosen; common practice, no source.
 */
export const SETTLED_COOLANT = 1 / 60;
export const SETTLED_INTAKE = 2 / 60;

export interface SettledRuns {
  /** every run shows that it had settled */
  readonly all: boolean;
  /** names of the runs that show that they had not */
  readonly unsettled: readonly string[];
}

/** Which runs were begun with temperatures still moving, by the slopes before the pull; a run without slopes shows neither. */
export function settledRuns(runs: readonly TrialRun[]): SettledRuns {
  const over = (slope: number | undefined, limit: number): boolean =>
    slope !== undefined && Math.abs(slope) > limit;
  return {
    all: runs.every(
      ({ settling }) =>
        settling?.coolant !== undefined &&
        settling.intake !== undefined &&
        !over(settling.coolant, SETTLED_COOLANT) &&
        !over(settling.intake, SETTLED_INTAKE),
    ),
    unsettled: runs
      .filter(
        ({ settling }) => over(settling?.coolant, SETTLED_COOLANT) || over(settling?.intake, SETTLED_INTAKE),
      )
      .map((run) => run.id),
  };
}
