import { describe, expect, it } from "vitest";
import { documentSchema, readDocument } from "../document.js";
import { simulateDocument } from "./simulate-kind.js";

const text = `bellmouth: simulate 1
title: First drive on the planned table
car: alder
meter: new
seed: 17
duration: 25 min
roads: [idle, town, pulls, motorway]
trims: closed-loop
planned-error: 5 %
barometer: 98.5 kPa absolute
outside: 15 degC
coolant: 20 degC
log-rate: 20 Hz
faults:
  leak: 1.5 mm^2
  injectors: 95 %
`;
const read = (source: string) =>
  readDocument([simulateDocument], source, {
    file: "drive.yaml",
    open: () => "signal [V],airflow [g/s]\n1,2\n2,10\n4,120\n",
  });
/** Units come with rounding in the last digit. */
const rounded = <T>(value: T): T =>
  JSON.parse(
    JSON.stringify(value, (_, part: unknown) =>
      typeof part === "number" ? Number(part.toPrecision(12)) : part,
    ),
  ) as T;
const faultsOf = (source: string) => {
  const result = read(source);
  return result.ok ? [] : result.faults;
};

describe("the simulate document", () => {
  it("becomes plain SI data", () => {
    const result = read(text);
    if (!result.ok) throw new Error(result.faults.map((fault) => fault.message).join("\n"));
    expect(result.document).toMatchObject({
      car: "alder",
      duration: 1500,
      feedback: true,
      roads: ["idle", "town", "pulls", "motorway"],
      table: { kind: "planned", error: 0.05 },
      barometer: 98500,
      logRate: 20,
    });
    expect(result.document.faults.injectorGain).toBeCloseTo(0.95, 12);
    expect(result.document.faults.leakArea).toBeCloseTo(1.5e-6, 15);
    expect(result.document.outside).toBeCloseTo(288.15, 9);
  });

  it("reads the larger faults, the feedback and the log's way of reading", () => {
    const result =
      read(`${text}  pulsation: { amplitude: 130 %, speed: 1800 rpm, width: 30 %, load-from: 70 %, averages: flow }
  purge: { area: 1.2 mm^2, richness: 10 %, emptying: 300 g, period: 2 min, duty: 70 % }
  blend: { model-below: 1500 rpm, meter-above: 2400 rpm, share: 100 %, error-low-load: 4 %, error-full-load: -5 % }
  fuel-sag: { capacity: 5 g/s, slope: 30 %, time: 0.5 s }
  hot-housing: 4 %
  lambda-sensor: { drift: 2 %, stuck-from: 10 min, feeds-control: no }
feedback:
  at-rest: wind-up
  narrow-band: { switch-point: 1.002, hysteresis: 0.004, lean-delay: 50 ms }
log-channels: in-turn
between-drives: 0.9 %
`);
    if (!result.ok) throw new Error(result.faults.map((fault) => fault.message).join("\n"));
    const { faults, control, inTurn, betweenDrives } = rounded(result.document);
    expect(faults.pulsation).toMatchObject({ amplitude: 1.3, speed: 30, loadFrom: 0.7, averages: "flow" });
    expect(faults.purge?.area).toBeCloseTo(1.2e-6, 15);
    expect(faults.purge).toMatchObject({ richness: 0.1, emptying: 0.3, period: 120, duty: 0.7 });
    expect(faults.blend).toMatchObject({ modelBelow: 25, error: { lowLoad: 0.04, fullLoad: -0.05 } });
    expect(faults.fuelSag).toMatchObject({ capacity: 0.005, slope: 0.3, fade: 0 });
    expect(faults.meterError).toEqual({ soak: 0.04 });
    expect(faults.lambdaSensor).toEqual({ drift: 0.02, stuckFrom: 600, feedsControl: false });
    expect(control).toEqual({
      atRest: "wind up",
      narrowBand: { switchPoint: 1.002, hysteresis: 0.004, leanDelay: 0.05 },
    });
    expect([inTurn, betweenDrives]).toEqual([true, 0.009]);
  });

  it("takes a table from a file, of either signal", () => {
    const result = read(text.replace("planned-error: 5 %", "table: planned.csv"));
    if (!result.ok) throw new Error(result.faults.map((fault) => fault.message).join("\n"));
    expect(result.document.table).toMatchObject({
      kind: "file",
      table: { signalKind: "voltage", signal: [1, 2, 4] },
    });
  });

  it.each([
    ["no table", text.replace("planned-error: 5 %\n", ""), "meter", "E_SCHEMA"],
    [
      "two tables",
      text.replace("planned-error", "table: planned.csv\nplanned-error"),
      "planned-error",
      "E_SCHEMA",
    ],
    [
      "a table for the present meter",
      text.replace("meter: new", "meter: present"),
      "planned-error",
      "E_SCHEMA",
    ],
    ["gauge pressure", text.replace("98.5 kPa absolute", "2 kPa gauge"), "barometer", "E_UNIT"],
    ["a bare number", text.replace("25 min", "25"), "duration", "E_UNIT"],
    ["an unknown road", text.replace("town", "forest"), "roads[1]", "E_SCHEMA"],
    [
      "an unknown key of a fault",
      text.replace("leak: 1.5", "lambda-sensor: { size: 3 %, offset: 1 % }\n  leak: 1.5"),
      "faults.lambda-sensor.size",
      "E_SCHEMA",
    ],
    ["an unknown key", text.replace("seed: 17", "seed: 17\nseeds: 3"), "seeds", "E_SCHEMA"],
  ])("refuses %s, saying where", (_, source, path, code) => {
    const [fault] = faultsOf(source);
    expect(fault?.code).toBe(code);
    expect(fault?.at?.path).toBe(path);
    expect(fault?.at?.line).toBeGreaterThan(0);
  });

  it("has a JSON Schema that names every key", () => {
    const schema = JSON.stringify(documentSchema(simulateDocument));
    for (const key of ["planned-error", "log-rate", "heat-soak", "exhaust-leak"])
      expect(schema).toContain(`"${key}"`);
  });
});
