import { describe, expect, it } from "vitest";
import { seededRandom } from "../../fit/index.js";
import { makeTransferCurve } from "../../sensor/index.js";
import type { Drive } from "../drive.js";
import { prepareDrive } from "./refusal.js";

const curve = makeTransferCurve({
  signal: "voltage",
  cells: [1, 2, 3, 4].map((signal) => ({
    signal,
    flow: 0.01 * signal ** 2,
    origin: "rescaled",
    budget: { profile: 0.03 },
    flags: [],
  })),
  outside: "hold",
});
const time = Float64Array.from({ length: 200 }, (_, i) => 0.1 * i);
const channel = (value: (i: number) => number) => ({
  time,
  value: Float64Array.from(time, (_, i) => value(i)),
});
const reason = (channels: Drive["channels"], trimsOff = false): string => {
  const found = prepareDrive(curve, { channels }, trimsOff);
  return "reason" in found ? found.reason : found.source;
};
const signal = channel((i) => 1 + (i % 30) / 10);
const lambda = channel((i) => 1 + 0.01 * Math.sin(i));
const trim = channel((i) => 0.02 * Math.sin(i / 7));

describe("drives that cannot be used", () => {
  it("are refused with the reason", () => {
    expect(reason({ lambda })).toBe("no signal");
    expect(reason({ signal })).toBe("no lambda and no trims");
    expect(reason({ signal, lambda })).toBe("trims not logged");
    expect(reason({ signal, shortTrim: channel(() => 0), longTrim: channel(() => 0) })).toBe(
      "no trims in use",
    );
    expect(reason({ signal, lambda, shortTrim: trim, airflow: channel(() => 0.5) })).toBe("another table");
  });
  it("S21: a lambda sensor that stands still is named", () => {
    const random = seededRandom(4);
    for (const value of [1, 0.85, 1.3])
      expect(reason({ signal, lambda: channel(() => value), shortTrim: trim })).toBe("lambda stands still");
    // The last digit of an interface flickers.
    const flicker = channel((i) => 1 + (i % 2) * 0.001);
    expect(reason({ signal, lambda: flicker, shortTrim: trim })).toBe("lambda stands still");
    const steady = channel(() => 1 + 0.004 * random.normal());
    expect(reason({ signal, lambda: steady, shortTrim: trim })).toBe("lambda");
  });
  it("and those that can say how the mixture is told", () => {
    expect(reason({ signal, lambda, shortTrim: trim })).toBe("lambda");
    expect(reason({ signal, lambda }, true)).toBe("lambda");
    expect(reason({ signal, shortTrim: trim })).toBe("trims");
  });
  it("take the signal from the airflow where only that is logged", () => {
    const found = prepareDrive(curve, { channels: { airflow: channel(() => 0.04), shortTrim: trim } }, false);
    expect("drive" in found && found.drive.channels.signal?.value[3]).toBeCloseTo(2, 9);
  });
});
