import { describe, expect, it } from "vitest";
import { makeTimeline } from "./timeline.js";

function place(stamps: readonly number[], clock = false) {
  const timeline = makeTimeline({ clock });
  const times = new Float64Array(stamps.length);
  const held = timeline.place(Float64Array.from(stamps), stamps.length, times, true);
  return { times: Array.from(times, (t) => Math.round(t * 1e6) / 1e6), held, findings: timeline.findings() };
}
const regular = Array.from({ length: 20 }, (_, i) => 100 + i);

describe("timeline", () => {
  it("counts from the first row", () => {
    const { times, findings } = place([5, 5.1, 5.2]);
    expect(times).toEqual([0, 0.1, 0.2]);
    expect(findings).toEqual([]);
  });
  it("reports gaps and keeps their length", () => {
    const { times, findings } = place([...regular, 150, 151]);
    expect(times.slice(-3)).toEqual([19, 50, 51]);
    expect(findings).toMatchObject([{ kind: "gap", from: 19, to: 50 }]);
  });
  it("goes on at the usual pace where the clock goes back", () => {
    const { times, findings } = place([...regular, 90, 91, 92]);
    expect(times.slice(-4)).toEqual([19, 20, 21, 22]);
    expect(findings).toMatchObject([{ kind: "clockStep", from: 19 }]);
    expect(findings[0]?.message).toContain("29 s");
  });
  it("passes midnight", () => {
    const { times, findings } = place([86398, 86399, 0, 1], true);
    expect(times).toEqual([0, 1, 2, 3]);
    expect(findings).toMatchObject([{ kind: "midnight", count: 1 }]);
  });
  it("takes the same fall for a clock step where stamps are not times of day", () => {
    expect(place([86398, 86399, 0, 1]).findings).toMatchObject([{ kind: "clockStep" }]);
  });
  it("spreads rows that share a stamp over the step that follows", () => {
    const { times, findings } = place([0, 0, 2, 2, 2, 2, 4, 4]);
    expect(times).toEqual([0, 1, 2, 2.5, 3, 3.5, 4, 5]);
    expect(findings).toMatchObject([{ kind: "repeatedTime", count: 5 }]);
  });
  it("holds rows back until the stamp that follows is known", () => {
    const timeline = makeTimeline({ clock: false });
    const times = new Float64Array(4);
    expect(timeline.place(Float64Array.of(0, 1, 2, 2), 4, times, false)).toBe(2);
    expect(timeline.place(Float64Array.of(2, 2, 3, 4), 4, times, true)).toBe(0);
    expect([...times]).toEqual([2, 2.5, 3, 4]);
  });
  it("places rows without a stamp at the usual pace", () => {
    const { times, findings } = place([0, 1, 2, Number.NaN, 4, 5]);
    expect(times).toEqual([0, 1, 2, 3, 4, 5]);
    expect(findings).toMatchObject([{ kind: "missingTime", count: 1 }]);
  });
  it("never goes back, whatever the stamps", () => {
    const strange = [0, Number.NaN, 5, 5, -1e9, 1e12, 1e12, 3, 3.0001, Number.NaN, Number.NaN, 2];
    const { times } = place(strange);
    for (let i = 1; i < times.length; i++) expect(times[i]).toBeGreaterThanOrEqual(times[i - 1] as number);
  });
});
