import { differenceBetweenDrives } from "./between-drives.js";
import type { CarSpec } from "./car-spec.js";
import type { DriveSpec } from "./drive-spec.js";
import { mixedRoads } from "./mixed-roads.js";
import { type PlanError, plannedTable, usualPlanError } from "./planned-table.js";
import { between, type Random } from "./random.js";
import { drawTrouble, type TroubleKind, trimsAlone } from "./troubles.js";

/** Drives of one car on one planned table, with one trouble. */
export interface TroubleScenario {
  readonly kind: TroubleKind;
  readonly drives: readonly DriveSpec[];
  readonly planError: PlanError;
  /** True where the log must be given without its lambda channel. */
  readonly withoutLambda: boolean;
  /** Standard deviation between the drives, meter and fuel together [1]; 0 where they are alike. */
  readonly betweenDrives: number;
}

/** Roads, weather, table and the size of the trouble, all drawn. Several drives only where they differ or one of them is spoilt. */
export function troubleScenario(car: CarSpec, kind: TroubleKind, random: Random): TroubleScenario {
  const { car: altered, faults } = drawTrouble(kind, car, random);
  const withoutLambda = trimsAlone.has(kind);
  const feedback = random.uniform() < 0.5 || withoutLambda;
  const table = plannedTable(car.meter.trueCurve, usualPlanError, random);
  const differ = kind === "drives differ";
  const betweenDrives = differ ? between(random, 0.003, 0.02) : 0;
  const count = differ ? 3 + Math.floor(4 * random.uniform()) : kind === "lambda sensor stuck" ? 2 : 1;
  const duration = count > 1 ? between(random, 480, 800) : between(random, 900, 1500);
  const rate = random.uniform() < 0.3 ? 10 : 20;
  const drives = Array.from({ length: count }, (_, k): DriveSpec => {
    const own = differ
      ? {
          meterError: differenceBetweenDrives(car, betweenDrives * Math.SQRT1_2, random),
          injectorGain: Math.exp(betweenDrives * Math.SQRT1_2 * random.normal()),
        }
      : kind === "lambda sensor stuck" && k === 1
        ? { lambdaSensor: { stuckFrom: 0 } }
        : {};
    return {
      car: altered,
      table,
      cycle: mixedRoads(altered, random, random.uniform() < 0.8),
      duration,
      feedback,
      barometer: between(random, 96e3, 102.5e3),
      ambient: between(random, 275, 305),
      startCoolant: between(random, 290, 350),
      faults: { ...faults, ...own },
      log: { rate, jitter: 0.02, refresh: {}, decimals: {} },
    };
  });
  return { kind, drives, planError: usualPlanError, withoutLambda, betweenDrives };
}
