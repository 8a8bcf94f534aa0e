import { driveChannels, type SimulatedDrive } from "@bellmouth/simulator";
import { evidenced, type RefineOptions, type RefineResult, refine } from "bellmouth/drive";
import type { TransferCurve } from "bellmouth/sensor";

/** What the score needs of a refinement; the only place of the scoring that knows the result's fields. */
export interface Estimate {
  /** The table to type in [kg/s], cell by cell. */
  readonly flow: readonly number[];
  /** Estimate of the curve at the cells, and its 95 % intervals: up to a common factor of fuel and lambda sensor, and with it [kg/s]. */
  readonly mean: readonly number[];
  readonly shape: readonly (readonly [number, number])[];
  readonly interval: readonly (readonly [number, number])[];
  readonly evidenced: readonly boolean[];
  /** Cause that is named, and the region that is told where none explains; null where neither is. */
  readonly named: string | null;
  readonly region: string | null;
  /** Codes of everything that is said. */
  readonly codes: readonly string[];
  readonly result: RefineResult;
}

type Bounds = { readonly low: number; readonly high: number };
/** Fields that the refinement had before it told mean, shape and flow apart, or has since. */
interface EitherResult {
  readonly cells: readonly (Bounds & {
    readonly after: number;
    readonly mean?: number;
    readonly shape?: Bounds;
    readonly flow?: Bounds;
  })[];
  readonly verdicts?: readonly { readonly code: string }[];
  readonly findings?: readonly { readonly code: string }[];
  readonly causes?: readonly { readonly cause: string; readonly named: boolean }[];
  readonly region?: unknown;
}

const causesOf: ReadonlySet<string> = new Set(["leak", "injector offset", "exhaust leak"]);
const bounds = ({ low, high }: Bounds): readonly [number, number] => [low, high];

/** The refinement under test, given only the logs and the table. */
export function estimate(
  table: TransferCurve,
  logs: readonly SimulatedDrive["columns"][],
  options: RefineOptions = {},
  withoutLambda = false,
): Estimate {
  const drives = logs.map((log, i) => {
    const { name, channels } = driveChannels(log, `log ${i + 1}`);
    const { lambda, ...rest } = channels;
    return { name, channels: withoutLambda ? rest : { ...rest, lambda } };
  });
  const result = refine(table, drives, options);
  const either = result as unknown as EitherResult;
  const codes = (either.findings ?? either.verdicts ?? []).map(({ code }) => code);
  const named =
    either.causes === undefined
      ? codes.find((code) => causesOf.has(code))
      : either.causes.find((cause) => cause.named)?.cause;
  return {
    flow: result.curve.cells.map((cell) => cell.flow),
    mean: either.cells.map((cell) => cell.mean ?? cell.after),
    shape: either.cells.map((cell) => bounds(cell.shape ?? cell)),
    interval: either.cells.map((cell) => bounds(cell.flow ?? cell)),
    evidenced: result.cells.map(evidenced),
    named: named ?? null,
    region: either.region === undefined || either.region === null ? null : JSON.stringify(either.region),
    codes,
    result,
  };
}
