import { differenceBetweenDrives } from "./between-drives.js";
import type { CarSpec } from "./car-spec.js";
import type { DriveSpec, FaultSpec, LogSpec } from "./drive-spec.js";
import { mixedRoads } from "./mixed-roads.js";
import { withOldMeter } from "./old-meter.js";
import { type PlanError, plannedTable, usualPlanError } from "./planned-table.js";
import { between, type Random } from "./random.js";

export interface SwapOptions {
  /** Number of drives before and after the swap, and how long each is [s]. */
  readonly before: number;
  readonly after: number;
  readonly duration: number;
  /** Standard deviation between drives [1], smooth in flow; before and after alike. */
  readonly betweenDrives: number;
  /** `fast`: 20 rows a second read at once; `in turn`: one row a second, its channels read one after the other. Both give pressure in whole kPa. */
  readonly log: "fast" | "in turn";
  /** What is wrong with the car before and after the swap alike, and what came with it (another fuel, say). */
  readonly faults?: FaultSpec;
  readonly faultsAfter?: FaultSpec;
}

export interface SwapScenario {
  /** On the old meter and its own table. */
  readonly before: readonly DriveSpec[];
  /** On the new meter and a planned table. */
  readonly after: readonly DriveSpec[];
  readonly planError: PlanError;
}

const logOf = (kind: SwapOptions["log"]): LogSpec => ({
  rate: kind === "fast" ? 20 : 1,
  jitter: 0.02,
  refresh: {},
  inTurn: kind === "in turn",
  decimals: { manifoldPressure: 0 },
});

/** Several drives of one car before and after its meter's housing is swapped; weather, roads and table drawn. */
export function swapScenario(car: CarSpec, options: SwapOptions, random: Random): SwapScenario {
  const old = withOldMeter(car);
  const planned = plannedTable(car.meter.trueCurve, usualPlanError, random);
  const drive = (side: "before" | "after"): DriveSpec => {
    const driven = side === "before" ? old.car : car;
    return {
      car: driven,
      table: side === "before" ? old.table : planned,
      cycle: mixedRoads(driven, random, true),
      duration: options.duration,
      feedback: true,
      barometer: between(random, 96e3, 102.5e3),
      ambient: between(random, 278, 303),
      startCoolant: between(random, 290, 350),
      faults: {
        ...options.faults,
        ...(side === "after" ? options.faultsAfter : {}),
        meterError: differenceBetweenDrives(driven, options.betweenDrives, random),
      },
      log: logOf(options.log),
    };
  };
  return {
    before: Array.from({ length: options.before }, () => drive("before")),
    after: Array.from({ length: options.after }, () => drive("after")),
    planError: usualPlanError,
  };
}
