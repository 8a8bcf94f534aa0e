import { describe, expect, it } from "vitest";
import type { CarSpec } from "./car-spec.js";
import { developmentCars } from "./development-cars.js";
import { driveCsv, printedColumns } from "./drive-csv.js";
import type { DriveSpec, FaultSpec, Segment } from "./drive-spec.js";
import { readCurve } from "./meter.js";
import { plannedTable, usualPlanError } from "./planned-table.js";
import { seededRandom } from "./random.js";
import { scenario } from "./scenario.js";
import { simulateDrive } from "./simulate-drive.js";

const car = developmentCars[0]!;
const quiet: CarSpec = {
  ...car,
  meter: { ...car.meter, noise: 0, quantum: 0 },
  lambdaSensor: { ...car.lambdaSensor, whiteNoise: 0, slowNoise: 0, outliers: { probability: 0, size: 0 } },
};
const steady: Segment[] = [{ kind: "speed", target: 25, acceleration: 1, hold: 1000, gear: 3 }];
const specOf = (part: Partial<DriveSpec> & { readonly faults?: FaultSpec } = {}): DriveSpec => ({
  car: quiet,
  table: plannedTable(quiet.meter.trueCurve, usualPlanError, seededRandom(4), { rms: 0.05 }),
  cycle: steady,
  duration: 120,
  feedback: false,
  barometer: 100e3,
  ambient: 293,
  startCoolant: 363,
  faults: {},
  log: { rate: 20, jitter: 0, refresh: {}, decimals: {} },
  ...part,
});
const last = <T extends ArrayLike<number>>(column: T): number => column[column.length - 1]!;
const meanOf = (column: Float64Array, from: number): number => {
  const part = column.slice(from);
  return part.reduce((sum, value) => sum + value, 0) / part.length;
};
const short = (seed: number, feedback = true) => {
  const random = seededRandom(seed);
  const { drive } = scenario(car, "town and pulls", feedback, random);
  const spec = { ...drive, duration: 120 };
  return { spec, drive: simulateDrive(spec, random) };
};

describe("chance", () => {
  it("gives the same log for the same seed, and another for another", () => {
    const [a, b, c] = [short(5), short(5), short(6)].map(({ spec, drive }) =>
      driveCsv(drive, "frequency", spec.log),
    );
    expect(a).toBe(b);
    expect(a).not.toBe(c);
  });

  it("keeps every channel finite", () => {
    for (const column of Object.values(short(9).drive.columns)) {
      expect(column.every((value) => Number.isFinite(value))).toBe(true);
    }
  });
});

describe("a steady drive", () => {
  it("shows lambda over target as true over metered air when trims are off", () => {
    const spec = specOf();
    const { columns, truth } = simulateDrive(spec, seededRandom(1));
    const from = columns.time.length - 1000;
    const signal = meanOf(columns.signal, from);
    const ratio = readCurve(spec.car.meter.trueCurve).flow(signal) / readCurve(spec.table).flow(signal);
    // The foot still moves; over 50 s the mean of lambda is the ratio within 0.2 %.
    expect(Math.abs(meanOf(columns.lambda, from) / ratio - 1)).toBeLessThan(2e-3);
    expect(Math.abs(meanOf(truth.meterFlow, from) / meanOf(truth.cylinderFlow, from) - 1)).toBeLessThan(1e-3);
  });

  it("drives the mean of lambda to its target with feedback, the trims carrying the ratio", () => {
    const spec = specOf({ feedback: true, duration: 200 });
    const { columns } = simulateDrive(spec, seededRandom(1));
    const from = columns.time.length - 1000;
    const signal = meanOf(columns.signal, from);
    const ratio = readCurve(spec.car.meter.trueCurve).flow(signal) / readCurve(spec.table).flow(signal);
    const trims = columns.shortTrim.map((value, i) => (1 + value) * (1 + columns.longTrim[i]!));
    expect(Math.abs(meanOf(columns.lambda, from) - 1)).toBeLessThan(5e-3);
    expect(Math.abs(meanOf(trims, from) / ratio - 1)).toBeLessThan(5e-3);
    expect(Math.max(...columns.shortTrim)).toBeLessThanOrEqual(spec.car.control.limit);
  });

  it("has the stated delay: fixed + revolutions over speed + gas mass over flow", () => {
    const { columns, truth } = simulateDrive(specOf(), seededRandom(1));
    const flow = last(truth.cylinderFlow) * (1 + 1 / 14.7);
    const { fixedDelay, revolutions, gasMass } = quiet.exhaust;
    const stated = fixedDelay + revolutions / last(columns.engineSpeed) + gasMass / flow;
    expect(Math.abs(last(truth.delay) - stated)).toBeLessThan(0.02);
  });

  it("reads leaner by what injectors or pressure lack, everywhere alike", () => {
    const sound = simulateDrive(specOf(), seededRandom(1));
    const from = sound.columns.time.length - 1000;
    const lean = (faults: FaultSpec): number =>
      meanOf(simulateDrive(specOf({ faults }), seededRandom(1)).columns.lambda, from) /
      meanOf(sound.columns.lambda, from);
    expect(lean({ injectorGain: 0.95 })).toBeCloseTo(1 / 0.95, 4);
    // Delivered fuel goes with the root of the pressure (orifice equation).
    expect(lean({ fuelPressure: 0.81 })).toBeCloseTo(1 / 0.9, 4);
    // A missing mass per cycle costs that mass times cycles a second of the fuel that was meant.
    const missing = 2e-7 * (meanOf(sound.columns.engineSpeed, from) / 2);
    const meant = meanOf(sound.columns.airflow, from) / quiet.fuel.stoichiometric;
    expect(lean({ injectorOffset: -2e-7 })).toBeCloseTo(1 / (1 - missing / meant), 3);
  });
});

describe("transients", () => {
  const pull: Segment[] = [{ kind: "pull", gear: 2, from: 30, to: 100, throttle: 1, liftOff: 5 }];
  const filmCar: CarSpec = {
    ...quiet,
    fuel: { ...quiet.fuel, filmCompensation: 0, fillingCompensation: 1 },
  };
  const drive = simulateDrive(specOf({ car: filmCar, cycle: pull, duration: 90 }), seededRandom(1));
  const open = drive.columns.throttle.findIndex((value) => value > 0.9);

  it("goes lean after a tip-in that the ECU does not compensate", () => {
    expect(open).toBeGreaterThan(0);
    const after = drive.truth.transient.slice(open, open + 20);
    expect(Math.max(...after)).toBeGreaterThan(0.05);
  });

  it("enriches at full load and cuts fuel on overrun, which the sensor sees as its leanest", () => {
    const target = Math.min(...drive.columns.lambdaTarget.slice(open, open + 100));
    // The car's full-load table between 30 and 60 rev/s.
    expect(target).toBeGreaterThan(0.875);
    expect(target).toBeLessThan(0.92);
    const cut = drive.truth.fuelled.findIndex((fuelled, i) => i > open && fuelled === 0);
    expect(cut).toBeGreaterThan(open);
    const seen = drive.columns.lambda.slice(cut, cut + 40);
    expect(Math.max(...seen)).toBeCloseTo(filmCar.lambdaSensor.greatest, 2);
  });
});

describe("faults", () => {
  it("lets a leak grow towards idle", () => {
    const leaky = simulateDrive(
      specOf({
        faults: { leakArea: 3e-6 },
        cycle: [
          { kind: "idle", seconds: 20 },
          { kind: "pull", gear: 2, from: 30, to: 100, throttle: 1, liftOff: 3 },
        ],
        duration: 80,
      }),
      seededRandom(1),
    );
    const share = (i: number): number => leaky.truth.leakFlow[i]! / leaky.truth.cylinderFlow[i]!;
    const idling = leaky.columns.time.findIndex((time) => time > 15);
    const wide = leaky.columns.throttle.findIndex((value) => value > 0.95) + 40;
    expect(share(idling)).toBeGreaterThan(0.05);
    expect(share(wide)).toBeLessThan(0.005);
    // Choked at idle: the flow does not depend on the manifold.
    const choked = leaky.truth.leakFlow[idling]!;
    expect(choked).toBeCloseTo((3e-6 * 100e3 * 0.684731) / Math.sqrt(287.055 * 297), 5);
  });

  it("misleads the intake-air sensor when hot and standing", () => {
    const idle: Segment[] = [{ kind: "idle", seconds: 100 }];
    const [sound, soaked] = [{}, { heatSoak: 12 }].map((faults) =>
      simulateDrive(specOf({ faults, cycle: idle, duration: 60 }), seededRandom(1)),
    );
    const error = last(soaked!.columns.intakeAir) - last(sound!.columns.intakeAir);
    expect(error).toBeGreaterThan(8);
    expect(error).toBeLessThanOrEqual(12);
  });

  it("shows an exhaust leak as lean at idle, hardly at load", () => {
    const [sound, leaky] = [{}, { exhaustLeak: 0.1 }].map((faults) =>
      simulateDrive(
        specOf({ faults, cycle: [{ kind: "idle", seconds: 100 }], duration: 60 }),
        seededRandom(1),
      ),
    );
    expect(last(leaky!.columns.lambda) / last(sound!.columns.lambda)).toBeGreaterThan(1.04);
  });
});

describe("the log", () => {
  it("holds channels that are polled less often", () => {
    const { columns } = simulateDrive(
      specOf({ log: { rate: 20, jitter: 0, refresh: { airflow: 4 }, decimals: {} }, duration: 20 }),
      seededRandom(1),
    );
    let changes = 0;
    for (let i = 1; i < columns.airflow.length; i++) {
      if (columns.airflow[i] !== columns.airflow[i - 1]) changes += 1;
    }
    expect(changes).toBeLessThanOrEqual(columns.airflow.length / 4 + 1);
    expect(changes).toBeGreaterThan(columns.airflow.length / 5);
  });

  it("writes the rows it is asked for, and reads back as printed", () => {
    const { spec, drive } = short(12);
    const text = driveCsv(drive, "frequency", spec.log);
    const [header, ...rows] = text.trimEnd().split("\n");
    expect(rows).toHaveLength(drive.columns.time.length);
    expect(Math.abs(rows.length / (spec.duration * 20) - 1)).toBeLessThan(0.01);
    const names = header!.split(",");
    expect(names).toContain("airflow [g/s]");
    const printed = printedColumns(drive, "frequency", spec.log);
    const row = rows[500]!.split(",").map(Number);
    expect(row[names.indexOf("airflow [g/s]")]! / 1e3).toBeCloseTo(printed.airflow[500]!, 12);
    expect(row[names.indexOf("coolant [degC]")]! + 273.15).toBeCloseTo(printed.coolant[500]!, 9);
    expect(row[names.indexOf("short trim [%]")]! / 100).toBeCloseTo(printed.shortTrim[500]!, 12);
  });
});

describe("what cannot be driven", () => {
  it.each([
    ["duration", { duration: Number.NaN }, "E_DOMAIN"],
    ["barometer in kPa", { barometer: 100 }, "E_DOMAIN"],
    ["ambient in degrees", { ambient: 20 }, "E_DOMAIN"],
    ["no cycle", { cycle: [] }, "E_TOO_LITTLE_DATA"],
    ["another signal", { table: developmentCars[1]!.meter.trueCurve }, "E_SIGNAL_KIND"],
  ])("is refused: %s", (_, part, code) => {
    expect(() => simulateDrive(specOf(part), seededRandom(1))).toThrow(code);
  });
});

describe("drift and gaps", () => {
  it("drifts the fuel by the stated size", () => {
    const { truth } = simulateDrive(
      specOf({ faults: { fuelDrift: { size: 0.02, time: 2 } }, duration: 600 }),
      seededRandom(3),
    );
    const deviations = truth.fuelRatio.map((ratio) => (ratio - 1) ** 2);
    // 300 correlation times: the rms is known to about 6 %; limit three times that.
    expect(Math.abs(Math.sqrt(meanOf(deviations, 0)) / 0.02 - 1)).toBeLessThan(0.2);
  });

  it("pauses the log", () => {
    const log = { rate: 20, jitter: 0, refresh: {}, decimals: {}, gaps: { every: 10, length: 3 } };
    const { columns } = simulateDrive(specOf({ log, duration: 300 }), seededRandom(3));
    const pauses = columns.time.filter((time, i) => i > 0 && time - columns.time[i - 1]! > 2).length;
    expect(pauses).toBeGreaterThan(8);
    expect(pauses).toBeLessThan(45);
  });
});
