import { BellmouthError } from "bellmouth";
import { makeTransferCurve, type TransferCurve } from "bellmouth/sensor";
import type { CarSpec } from "./car-spec.js";
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
  readonly meter: "old" | "new";
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
  const car = order.meter === "old" ? old.car : named;
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
    faults: order.faults,
    log: { rate: order.logRate, jitter: 0.02, refresh: {}, decimals: {} },
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

/** The planned table's error has a stream of its own, so that another drive of the same plan meets the same table. */
const PLAN_STREAM = 0x706c616e;

function tableOf(order: DriveOrder, car: CarSpec, factory: TransferCurve): TransferCurve {
  const { table } = order;
  if (order.meter === "old") return factory;
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
