import { describe, expect, it } from "vitest";
import { seededRandom } from "../../fit/index.js";
import { robustPeak } from "./robust-peak.js";

const steps = (n: number, dt: number): number[] => Array.from({ length: n }, (_, i) => i * dt);

describe("robustPeak", () => {
  it("a plateau is its own peak", () => {
    const times = steps(100, 0.1);
    const flow = times.map((t) => (t >= 3 && t < 6 ? 0.12 : 0.03));
    const peak = robustPeak(times, flow, { sustained: 2 });
    expect(peak.value).toBe(0.12);
    expect(peak.from).toBeCloseTo(3, 9);
    expect(peak.removed).toEqual({ missing: 0, dropouts: 0, spikes: 0 });
  });
  it("the longer it must be sustained, the lower; longer than the log, an error", () => {
    const times = steps(101, 0.1);
    const flow = times.map((t) => 0.02 + 0.1 * Math.exp(-(((t - 5) / 1.5) ** 2)));
    const values = [0.2, 1, 2, 4].map((sustained) => robustPeak(times, flow, { sustained }).value);
    for (let i = 1; i < values.length; i++) expect(values[i]).toBeLessThan(values[i - 1] as number);
    // Half a second either side of the middle.
    expect(values[1]).toBeCloseTo(0.02 + 0.1 * Math.exp(-((0.5 / 1.5) ** 2)), 2);
    expect(() => robustPeak(times, flow, { sustained: 60 })).toThrow(/E_TOO_LITTLE_DATA/);
  });
  it("leaves out dropouts, missing samples and lone spikes, and counts them", () => {
    const times = steps(200, 0.1);
    const random = seededRandom(3);
    const clean = times.map((t) => 0.05 + 0.03 * Math.sin(t / 3) + 0.0003 * random.normal());
    const dirty = clean.map((value, i) =>
      i === 40 ? 0.4 : i % 17 === 0 ? 0 : i % 23 === 0 ? Number.NaN : value,
    );
    const peak = robustPeak(times, dirty, { sustained: 1 });
    const wanted = robustPeak(times, clean, { sustained: 1 });
    expect(Math.abs(peak.value / wanted.value - 1)).toBeLessThan(0.01);
    expect(peak.removed).toEqual({ missing: 8, dropouts: 12, spikes: 1 });
  });
  it("a hard tip-in is no spike", () => {
    const times = steps(60, 0.1);
    const flow = times.map((t) => (t < 3 ? 0.01 : 0.15));
    expect(robustPeak(times, flow, { sustained: 1 }).value).toBe(0.15);
  });
  it("does not bridge a gap longer than a reading holds", () => {
    const times = [0, 0.1, 0.2, 30, 30.1, 30.2];
    const flow = [0.05, 0.05, 0.1, 0.1, 0.05, 0.05];
    expect(robustPeak(times, flow, { sustained: 1, hold: 60 }).value).toBe(0.1);
    // Left alone, 0.1 g/s rows hold half a second: no second of anything but the lower flow is there.
    expect(() => robustPeak(times, flow, { sustained: 1 })).toThrow(/E_TOO_LITTLE_DATA/);
  });
  it("says how far a slow log may have missed it", () => {
    const slow = robustPeak([0, 1, 2, 3, 4, 5], [0.02, 0.06, 0.09, 0.1, 0.07, 0.02], { sustained: 0.5 });
    expect(slow.value).toBe(0.1);
    // Its neighbour at three quarters or more is 0.01 off: it may have gone on by that much.
    expect(slow.u).toBeCloseTo(0.01 / Math.sqrt(3), 9);
  });
  it("refuses lists that do not fit, times that go back, and a time of nothing", () => {
    expect(() => robustPeak([0, 1], [0.1], { sustained: 1 })).toThrow(/E_SHAPE/);
    expect(() => robustPeak([0, 1, 0.5], [0.1, 0.1, 0.1], { sustained: 1 })).toThrow(/times\[2\].*E_ORDER/);
    expect(() => robustPeak([0, 1], [0.1, 0.1], { sustained: 0 })).toThrow(/sustained/);
    expect(() => robustPeak([0, 1], [0.1, Number.POSITIVE_INFINITY], { sustained: 1 })).toThrow(
      /values\[1\]/,
    );
    expect(() => robustPeak([], [], { sustained: 1 })).toThrow(/E_TOO_LITTLE_DATA/);
  });
});
