import { BellmouthError } from "bellmouth";
import { makeTransferCurve, type TransferCurve } from "bellmouth/sensor";
import { differenceBetweenDrives } from "./between-drives.js";
import type { CarSpec, ControlSpec } from "./car-spec.js";
import { idle, motorway, pulls, town, traffic } from "./cycles.js";
import { developmentCars } from "./development-cars.js";
import { driveCsv } from "./drive-csv.js";
import type { DriveSpec, FaultSpec, Segment } from "./drive-spec.js";
import { withOldMeter } from "./old-meter.js";
import { plannedTable, usualPlanError } from "./planned-table.js";
import { type Random, seededRandom } from "./random.js";
import { type SimulatedDrive, simulateDrive } from "./simulate-drive.js";

/** A drive as somebody would order it: which car, where, how long, and what is wrong with it. SI. */
export interface DriveOrder {
  /** Name of one of `developmentCars`. */
  readonly car: string;
  /** The meter before the swap, whose table is right, or the new one. */
  readonly meter: "present" | "new";
  readonly seed: number;
  /** [s] */
  readonly duration: number;
  readonly roads: readonly ("idle" | "town" | "pulls" | "motorway" | "traffic")[];
  readonly feedback: boolean;
  readonly table:
    | {
        readonly kind: "file";
        readonly table: {
          readonly signalKind: "frequency" | "voltage";
          /** [Hz] or [V] */
          readonly signal: readonly number[];
          /** [kg/s] */
          readonly flow: readonly number[];
        };
      }
    /** the truth times a random error of this rms [1] */
    | { readonly kind: "planned"; readonly error: number }
    | { readonly kind: "factory" };
  /** [Pa] */
  readonly barometer: number;
  /** Outside air and coolant at the start [K]. */
  readonly outside: number;
  readonly coolant: number;
  /** [1/s] */
  readonly logRate: number;
  /** Channels of a row read one after the other, not at once. */
  readonly inTurn?: boolean;
  /** How the lambda feedback differs from the car's own. */
  readonly control?: Partial<Pick<ControlSpec, "atRest" | "narrowBand">>;
  /** Standard deviation of what the meter reads differently from drive to drive [1], smooth in flow; drawn from the seed. */
  readonly betweenDrives?: number;
  readonly faults: FaultSpec;
}

export interface OrderedDrive {
  readonly spec: DriveSpec;
  readonly drive: SimulatedDrive;
  /** Files by name: the log, the table it was driven on, and the truth that a method must not see. */
  readonly files: { readonly [name in "drive.csv" | "table.csv" | "truth.csv"]: string };
}

/** Drives what was ordered. Meter and table of one car are the same for every seed; only the drive differs. */
export function orderedDrive(order: DriveOrder): OrderedDrive {
  const named = developmentCars.find((candidate) => candidate.name === order.car);
  if (named === undefined) {
    throw new BellmouthError({
      code: "E_DOMAIN",
      message: "no invented car of that name",
      found: `'${order.car.slice(0, 40)}'`,
      accepted: developmentCars.map((car) => car.name).join(", "),
      at: { path: "car" },
    });
  }
  const old = withOldMeter(named);
  const metered = order.meter === "present" ? old.car : named;
  const control = { ...metered.control, ...order.control };
  // A sensor that tells rich from lean only makes a switching control of any.
  const car = {
    ...metered,
    control:
      control.narrowBand === undefined || control.kind === "switching"
        ? control
        : { ...control, ...SWITCHING },
  };
  const random = seededRandom(order.seed);
  const spec: DriveSpec = {
    car,
    table: tableOf(order, named, old.table),
    cycle: order.roads.flatMap((road) => cycleOf(road, car, random)),
    duration: order.duration,
    feedback: order.feedback,
    barometer: order.barometer,
    ambient: order.outside,
    startCoolant: order.coolant,
    faults: faultsOf(order, car),
    log: { rate: order.logRate, jitter: 0.02, refresh: {}, inTurn: order.inTurn === true, decimals: {} },
  };
  const drive = simulateDrive(spec, random);
  return {
    spec,
    drive,
    files: {
      "drive.csv": driveCsv(drive, spec.table.signal, spec.log),
      "table.csv": tableCsv(spec.table),
      "truth.csv": tableCsv(car.meter.trueCurve),
    },
  };
}

/** Jump [1] and ramp [1/s] of a switching feedback; common practice, no source. */
const SWITCHING = { kind: "switching", step: 0.015, rate: 0.03 } as const;

/** Streams of their own, so that nothing else of a drive changes with them. */
const BETWEEN_STREAM = 0x62657477;

function faultsOf(order: DriveOrder, car: CarSpec): FaultSpec {
  const size = order.betweenDrives ?? 0;
  if (size === 0) return order.faults;
  const drawn = differenceBetweenDrives(car, size, seededRandom(BETWEEN_STREAM + order.seed));
  return { ...order.faults, meterError: { ...order.faults.meterError, ...drawn } };
}

/** The planned table's error has a stream of its own, so that another drive of the same plan meets the same table. */
const PLAN_STREAM = 0x706c616e;

function tableOf(order: DriveOrder, car: CarSpec, factory: TransferCurve): TransferCurve {
  const { table } = order;
  if (order.meter === "present") return factory;
  if (table.kind === "factory") return car.meter.trueCurve;
  if (table.kind === "planned") {
    return plannedTable(car.meter.trueCurve, usualPlanError, seededRandom(PLAN_STREAM), { rms: table.error });
  }
  return makeTransferCurve({
    signal: table.table.signalKind,
    cells: table.table.signal.map((signal, i) => ({
      signal,
      flow: table.table.flow[i]!,
      origin: "measured",
      budget: {},
      flags: [],
    })),
    outside: "extend",
  });
}

function cycleOf(road: DriveOrder["roads"][number], car: CarSpec, random: Random): Segment[] {
  if (road === "idle") return idle(20);
  if (road === "town") return town(random, 5);
  if (road === "pulls") return pulls(car, random, 3);
  return road === "motorway" ? motorway(random, 4) : traffic(random, 3);
}

/** A table as CSV, flows in g/s to six digits. */
function tableCsv(curve: TransferCurve): string {
  const unit = curve.signal === "frequency" ? "Hz" : "V";
  const lines = curve.cells.map(
    (cell) => `${Number(cell.signal.toPrecision(8))},${Number((cell.flow * 1e3).toPrecision(6))}`,
  );
  return `signal [${unit}],airflow [g/s]\n${lines.join("\n")}\n`;
}
