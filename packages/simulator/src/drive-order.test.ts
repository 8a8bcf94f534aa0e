import { describe, expect, it } from "vitest";
import { type DriveOrder, orderedDrive } from "./drive-order.js";

const order: DriveOrder = {
  car: "alder",
  meter: "new",
  seed: 3,
  duration: 60,
  roads: ["idle", "town"],
  feedback: true,
  table: { kind: "planned", error: 0.05 },
  barometer: 99e3,
  outside: 288,
  coolant: 350,
  logRate: 20,
  faults: {},
};
const flows = (csv: string): number[] =>
  csv
    .trimEnd()
    .split("\n")
    .slice(1)
    .map((line) => Number(line.split(",")[1]));

describe("orderedDrive", () => {
  it("gives the log, the table it was driven on, and the truth, the table as far off as ordered", () => {
    const { files } = orderedDrive(order);
    expect(files["drive.csv"].split("\n")[0]).toMatch(/^time \[s\],signal \[Hz\],airflow \[g\/s\]/);
    const truth = flows(files["truth.csv"]);
    const off = flows(files["table.csv"]).map((flow, i) => Math.log(flow / truth[i]!));
    expect(Math.sqrt(off.reduce((sum, value) => sum + value * value, 0) / off.length)).toBeCloseTo(0.05, 5);
  });

  it("keeps the plan from seed to seed, and changes the drive", () => {
    const [a, b] = [order, { ...order, seed: 4 }].map((one) => orderedDrive(one).files);
    expect(a!["table.csv"]).toBe(b!["table.csv"]);
    expect(a!["drive.csv"]).not.toBe(b!["drive.csv"]);
  });

  it("drives the old meter on its own table, which is right and means less air", () => {
    const old = orderedDrive({ ...order, meter: "present", table: { kind: "factory" } }).files;
    expect(old["table.csv"]).toBe(old["truth.csv"]);
    const now = flows(orderedDrive(order).files["truth.csv"]);
    expect(flows(old["truth.csv"])[5]! / now[5]!).toBeCloseTo(0.68, 4);
  });

  it("draws what differs between drives from the seed, and leaves the rest of the drive alone", () => {
    const [plain, other] = [order, { ...order, betweenDrives: 0.01 }].map((one) => orderedDrive(one));
    expect(plain!.spec.faults.meterError).toBeUndefined();
    expect(other!.spec.faults.meterError?.ln).toHaveLength(4);
    expect(other!.spec.cycle).toEqual(plain!.spec.cycle);
    const again = orderedDrive({ ...order, betweenDrives: 0.01 });
    expect(again.spec.faults.meterError).toEqual(other!.spec.faults.meterError);
  });

  it("makes a switching feedback of a linear one on a narrow-band sensor, its trims moving about the ratio", () => {
    const narrowBand = { switchPoint: 1, hysteresis: 0.003, leanDelay: 0 };
    const { spec, drive } = orderedDrive({ ...order, car: "birch", control: { narrowBand } });
    expect(spec.car.control.kind).toBe("switching");
    const { shortTrim } = drive.columns;
    // A limit cycle: the trim jumps to and fro all the time.
    const jumps = shortTrim.filter((value, i) => Math.abs(value - (shortTrim[i - 1] ?? value)) > 0.02).length;
    expect(jumps).toBeGreaterThan(20);
  });

  it("takes a table from outside, and refuses one of the other signal and an unknown car", () => {
    const table = { signalKind: "frequency", signal: [1000, 5000, 10000], flow: [0.001, 0.03, 0.2] } as const;
    expect(orderedDrive({ ...order, table: { kind: "file", table } }).files["table.csv"]).toContain(
      "5000,30\n",
    );
    const volts = { kind: "file", table: { ...table, signalKind: "voltage" } } as const;
    expect(() => orderedDrive({ ...order, table: volts })).toThrow("E_SIGNAL_KIND");
    expect(() => orderedDrive({ ...order, car: "oak" })).toThrow("alder, birch");
  });
});
