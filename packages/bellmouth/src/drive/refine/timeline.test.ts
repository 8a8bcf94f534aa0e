import { describe, expect, it } from "vitest";
import { makeTransferCurve } from "../../sensor/index.js";
import { timelineOf } from "./timeline.js";

const step = 0.05;
const n = 2400;
const table = makeTransferCurve({
  signal: "voltage",
  cells: [1, 2, 3].map((signal) => ({
    signal,
    flow: 0.01 * signal,
    origin: "measured" as const,
    budget: {},
    flags: [],
  })),
  outside: "hold",
});
const time = Float64Array.from({ length: n }, (_, t) => t * step);
const channel = (value: (seconds: number) => number) => ({ time, value: time.map(value) });

// Overrun for three seconds in every ten: lambda runs to the sensor's end 0.4 s late, or, from the 60th second on, stays where it was.
const closed = (s: number): boolean => s % 10 >= 5 && s % 10 < 8;
const cut = (s: number): boolean => s < 60 && closed(s);
const line = timelineOf(
  table,
  {
    name: "overrun",
    channels: {
      signal: channel(() => 1.5),
      lambda: channel((s) => (cut(s - 0.4) ? 1.6 : 1)),
      lambdaTarget: channel(() => 1),
      shortTrim: channel(() => 0),
      longTrim: channel(() => 0),
      engineSpeed: channel(() => 30),
      throttle: channel((s) => (closed(s) ? 0 : 0.2)),
    },
  },
  { warmFrom: 343.15, step, source: "lambda", untimed: false },
);
const share = (from: number, to: number, what: Uint8Array): number => {
  let sum = 0;
  for (let t = Math.round(from / step); t < Math.round(to / step); t++) sum += what[t]!;
  return (sum * step) / (to - from);
};

describe("fuel cut in a log", () => {
  it("is marked where lambda shows it, rows and what was dosed", () => {
    expect(share(25.1, 27.9, line.clean)).toBe(0);
    expect(share(25.1, 27.9, line.fuelled)).toBe(0);
    expect(share(21, 24, line.clean)).toBeCloseTo(1, 9);
    expect(share(25.5, 28.3, line.gate)).toBeGreaterThan(0);
  });
  it("is not taken for granted on a closed throttle after which lambda stays still", () => {
    expect(share(75.1, 77.9, line.clean)).toBeCloseTo(1, 9);
    expect(share(75.1, 77.9, line.fuelled)).toBeCloseTo(1, 9);
    expect(share(75.1, 77.9, line.gate)).toBe(0);
  });
});
