import { readCurve } from "@bellmouth/simulator";
import { type PlayedCase, playCase, type ScoreCase } from "./cases.js";
import { cellAverage } from "./cell-average.js";
import { drivenCells } from "./driven-cells.js";
import { type Estimate, estimate } from "./estimate.js";
import { executedError } from "./executed-error.js";
import { oracle } from "./oracle.js";
import { PARTIAL } from "./pools.js";
import { type Region, regionsOf } from "./regions.js";

/** One cell of one case: all errors are ln of a flow over the true one. */
export interface CellScore {
  readonly region: Region;
  readonly driven: boolean;
  readonly evidenced: boolean;
  readonly start: number;
  /** Estimate of the curve, and ends of its intervals. */
  readonly mean: number;
  readonly shape: readonly [number, number];
  readonly interval: readonly [number, number];
  /** The table to type in. */
  readonly written: number;
  readonly practice: number;
  readonly oracle: number | null;
  readonly oracleU: number | null;
}

export interface CaseScore {
  readonly group: string;
  readonly seed: number;
  readonly car: number;
  readonly cells: readonly CellScore[];
  readonly named: string | null;
  readonly region: string | null;
  readonly codes: readonly string[];
  /** True where no drive was used at all. */
  readonly refused: boolean;
  /** Rms over the driven time of ln(table as executed / truth), with the table before and after. */
  readonly executed: { readonly before: number; readonly after: number };
  readonly seconds: { readonly [part: string]: number };
}

/** The oracle is asked where a target speaks of it; on coarse tables it would answer another question. */
const asksOracle = ({ what, group }: ScoreCase): boolean =>
  what.kind === "clean" || (what.kind === "trouble" && PARTIAL.has(group));

const clock = (): number => performance.now() / 1e3;

/** Plays a case and scores every method on it. */
export function scoreCase(given: ScoreCase): CaseScore {
  const start = clock();
  const played = playCase(given);
  const simulated = clock();
  const told = asksOracle(given) ? oracleOf(played) : undefined;
  const oracled = clock();
  const estimated = estimate(played.table, played.logs, {}, played.withoutLambda);
  const refined = clock();
  const { drives } = estimated.result;
  return {
    group: given.group,
    seed: given.seed,
    car: given.car,
    cells: scoreCells(played, told, estimated),
    named: estimated.named,
    region: estimated.region,
    codes: estimated.codes,
    refused: drives.every((drive) => drive.refused !== null),
    executed: {
      before: executedError(played, played.table),
      after: executedError(played, estimated.result.curve),
    },
    seconds: { simulate: simulated - start, oracle: oracled - simulated, refine: refined - oracled },
  };
}

/** The oracle's answer to a played case; it is given lambda even where the method is not. */
export const oracleOf = (played: PlayedCase): ReturnType<typeof oracle> =>
  oracle({
    car: played.specs[0]!.car,
    planError: played.planError,
    table: played.table,
    logs: played.logs,
    fuelled: played.simulated.map((drive) => drive.truth.fuelled),
  });

/** Scores flows against the truth of a played case. */
export function scoreCells(
  played: PlayedCase,
  told: ReturnType<typeof oracle> | undefined,
  estimated: Estimate,
): CellScore[] {
  const { table, simulated, logs } = played;
  const driven = drivenCells(table, simulated);
  const regions = regionsOf(table, simulated, driven);
  const practice = cellAverage(table, logs, "nearest");
  const truth = readCurve(played.truth);
  return table.cells.map((cell, i) => {
    const right = truth.flow(cell.signal);
    const off = (flow: number | undefined): number => Math.log((flow ?? Number.NaN) / right);
    const ends = (list: readonly (readonly [number, number])[]): [number, number] => [
      off(list[i]?.[0]),
      off(list[i]?.[1]),
    ];
    return {
      region: regions[i]!,
      driven: driven[i]!,
      evidenced: estimated.evidenced[i]!,
      start: off(cell.flow),
      mean: off(estimated.mean[i]),
      shape: ends(estimated.shape),
      interval: ends(estimated.interval),
      written: off(estimated.flow[i]),
      practice: off(practice[i]),
      oracle: told === undefined ? null : off(told.flow[i]),
      oracleU: told?.deviation[i] ?? null,
    };
  });
}
