import { type PlayedCase, playCase, type ScoreCase } from "./cases.js";
import { cellAverage } from "./cell-average.js";
import { drivenCells } from "./driven-cells.js";
import { type Estimate, estimate } from "./estimate.js";
import { oracle } from "./oracle.js";

/** Sums over the driven cells of one case, ready to be added up by family. */
export interface CaseScore extends ScoreCase {
  readonly cells: number;
  /** Sum of squared relative flow errors over the driven cells, by method. */
  readonly squares: { readonly [method: string]: number };
  /** Largest relative error over the driven cells, by method. */
  readonly worst: { readonly [method: string]: number };
  /** Driven cells whose 95 % interval holds the truth. */
  readonly covered: number;
  readonly oracleCovered: number;
  /** Driven cells, given as evidenced, that ended further off than they began by more than their interval. */
  readonly worsened: number;
  readonly seconds: { readonly [part: string]: number };
  readonly verdicts: readonly string[];
}

const clock = (): number => performance.now() / 1e3;

/** Plays a case and scores every method on it. */
export function scoreCase(given: ScoreCase): CaseScore {
  const start = clock();
  const played = playCase(given);
  const simulated = clock();
  const told = oracle({
    car: played.car,
    planError: played.planError,
    table: played.spec.table,
    logs: [played.log],
    fuelled: [played.simulated.truth.fuelled],
  });
  const oracled = clock();
  const estimated = estimate(played.spec.table, [played.log]);
  const refined = clock();
  return {
    ...given,
    ...scoreAgainst(played, told, estimated),
    seconds: { simulate: simulated - start, oracle: oracled - simulated, refine: refined - oracled },
  };
}

/** Scores flows against the truth of a played case. */
export function scoreAgainst(
  played: PlayedCase,
  told: { readonly flow: readonly number[]; readonly deviation: readonly number[] },
  estimated: Estimate | undefined,
): Omit<CaseScore, keyof ScoreCase | "seconds"> {
  const { table } = played.spec;
  const driven = drivenCells(table, [played.simulated]);
  const before = table.cells.map((cell) => cell.flow);
  const methods: Record<string, readonly number[]> = {
    start: before,
    nearest: cellAverage(table, [played.log], "nearest"),
    weights: cellAverage(table, [played.log], "weights"),
    oracle: told.flow,
  };
  if (estimated !== undefined) methods["refine"] = estimated.flow;
  const squares: Record<string, number> = {};
  const worst: Record<string, number> = {};
  for (const [name, flow] of Object.entries(methods)) {
    const errors = played.truth.map((truth, i) => flow[i]! / truth - 1).filter((_, i) => driven[i]);
    squares[name] = errors.reduce((sum, error) => sum + error * error, 0);
    worst[name] = errors.reduce((most, error) => Math.max(most, Math.abs(error)), 0);
  }
  let covered = 0;
  let oracleCovered = 0;
  let worsened = 0;
  played.truth.forEach((truth, i) => {
    if (!driven[i]) return;
    if (Math.abs(Math.log(told.flow[i]! / truth)) <= 1.96 * told.deviation[i]!) oracleCovered += 1;
    if (estimated === undefined) return;
    const [low, high] = estimated.interval[i]!;
    if (truth >= low && truth <= high) covered += 1;
    const now = Math.abs(estimated.flow[i]! - truth);
    const was = Math.abs(before[i]! - truth);
    if (estimated.evidenced[i] && now > was + (high - low) / 2) worsened += 1;
  });
  return {
    cells: driven.filter((is) => is).length,
    squares,
    worst,
    covered,
    oracleCovered,
    worsened,
    verdicts: estimated?.verdicts ?? [],
  };
}
