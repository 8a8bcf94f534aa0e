import { describe, expect, it } from "vitest";
import { idle, pulls } from "./cycles.js";
import { developmentCars } from "./development-cars.js";
import { printedColumns } from "./drive-csv.js";
import type { DriveSpec } from "./drive-spec.js";
import { seededRandom } from "./random.js";
import { simulateDrive } from "./simulate-drive.js";
import { swapScenario } from "./swap-scenario.js";
import { troubleScenario } from "./trouble-scenario.js";
import { type TroubleKind, troubleKinds } from "./troubles.js";

const car = developmentCars[0]!;
const short = (spec: DriveSpec): DriveSpec => ({ ...spec, duration: 150, startCoolant: 358 });
const played = (kind: TroubleKind, seed: number) =>
  simulateDrive(short(troubleScenario(car, kind, seededRandom(seed)).drives[0]!), seededRandom(seed + 1));
const rms = (a: Float64Array, b: Float64Array): number =>
  Math.sqrt(a.reduce((sum, value, i) => sum + (value - b[i]!) ** 2, 0) / a.length);

describe("cars with a trouble", () => {
  it("drives the same for the same seed", () => {
    const [a, b] = [played("drives differ", 5), played("drives differ", 5)];
    expect(a.columns).toEqual(b.columns);
  });

  it.each(troubleKinds.filter((kind) => !["trims only", "lambda sensor stuck"].includes(kind)))(
    "differs from the same drive without the trouble, all channels finite: %s",
    (kind) => {
      const [scenario] = troubleScenario(car, kind, seededRandom(8)).drives;
      // Pulls and a stand after each; feedback on, so that trims tell as well.
      const cycle = [...idle(20), ...pulls(car, seededRandom(7), 3)];
      const spec = { ...scenario!, cycle, duration: 130, startCoolant: 360, feedback: true };
      const sound = simulateDrive({ ...spec, car, faults: {} }, seededRandom(9)).columns;
      const troubled = simulateDrive(spec, seededRandom(9)).columns;
      for (const column of Object.values(troubled)) expect(column.every(Number.isFinite)).toBe(true);
      const told = rms(troubled.lambda, sound.lambda) + rms(troubled.shortTrim, sound.shortTrim);
      expect(told).toBeGreaterThan(1e-3);
    },
  );

  it("spoils only the second drive where the lambda sensor sticks", () => {
    const [first, second] = troubleScenario(car, "lambda sensor stuck", seededRandom(2)).drives;
    expect(first!.faults.lambdaSensor).toBeUndefined();
    const { lambda } = simulateDrive(short(second!), seededRandom(3)).columns;
    expect(new Set(lambda).size).toBe(1);
  });
});

describe("a swap", () => {
  const scenario = swapScenario(
    car,
    { before: 3, after: 2, duration: 60, betweenDrives: 0.009, log: "in turn" },
    seededRandom(4),
  );

  it("has drives on the old meter before and on the new one after", () => {
    expect(scenario.before).toHaveLength(3);
    expect(scenario.after).toHaveLength(2);
    const [old, fresh] = [scenario.before[0]!, scenario.after[0]!];
    expect(old.table.cells[9]!.flow / fresh.car.meter.trueCurve.cells[9]!.flow).toBeCloseTo(0.68, 12);
    expect(new Set(scenario.before.map((drive) => JSON.stringify(drive.faults.meterError))).size).toBe(3);
  });

  it("gives a row a second, and pressure in whole kilopascals", () => {
    const spec = { ...scenario.after[0]!, duration: 100 };
    const drive = simulateDrive(spec, seededRandom(5));
    expect(Math.abs(drive.columns.time.length - 100)).toBeLessThan(3);
    expect(drive.truth.meterFlow).toHaveLength(drive.columns.time.length);
    const { manifoldPressure } = printedColumns(drive, spec.table.signal, spec.log);
    for (const value of manifoldPressure) expect((value / 1e3) % 1).toBeCloseTo(0, 9);
  });
});
