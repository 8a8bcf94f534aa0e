import { describe, expect, it } from "vitest";
import { estimateRefresh, type Refresh, settlePaces } from "./refresh.js";

const rows = 2000;
const times = Float64Array.from({ length: rows }, (_, i) => 0.1 * i);
const column = (value: (row: number) => number): Float64Array =>
  Float64Array.from({ length: rows }, (_, i) => value(i));

describe("estimateRefresh", () => {
  it("knows a channel that is new with every row", () => {
    expect(
      estimateRefresh(
        times,
        column((i) => Math.sin(i)),
      ).kind,
    ).toBe("everyRow");
    // A coarse reading repeats now and then and is new with every row all the same.
    expect(
      estimateRefresh(
        times,
        column((i) => Math.round(3 * Math.sin(i / 3))),
      ).kind,
    ).toBe("everyRow");
  });
  it("finds the period of a channel polled every tenth row", () => {
    const found = estimateRefresh(
      times,
      column((i) => Math.floor((i + 3) / 10) ** 2),
    );
    expect(found.kind).toBe("held");
    expect(found.period).toBeCloseTo(1, 9);
  });
  it("is not misled by polls that bring the same value", () => {
    const found = estimateRefresh(
      times,
      column((i) => Math.round(5 * Math.sin(Math.floor(i / 4) / 3))),
    );
    expect(found.kind).toBe("held");
    expect(found.period).toBeCloseTo(0.4, 9);
  });
  it("knows a log that leaves cells empty between polls", () => {
    const found = estimateRefresh(
      times,
      column((i) => (i % 5 === 2 ? i : Number.NaN)),
    );
    expect(found.kind).toBe("sparse");
    expect(found.period).toBeCloseTo(0.5, 9);
  });
  it("does not judge a channel that hardly changes, or never has a value", () => {
    for (const value of [() => 14, (i: number) => Math.floor(i / 500), () => Number.NaN]) {
      expect(estimateRefresh(times, column(value)).kind).toBe("unknown");
    }
    expect(estimateRefresh(new Float64Array(0), new Float64Array(0)).kind).toBe("unknown");
  });
  it("does not take a channel that moves seldom for one that is polled seldom", () => {
    // Changes after 13 to 90 rows, at no pace: a long-term trim in steps.
    let next = 0;
    let level = 0;
    let state = 7;
    const steps = column((i) => {
      if (i >= next) {
        state = (state * 48_271) % 2_147_483_647;
        next = i + 13 + (state % 78);
        level += 1;
      }
      return level;
    });
    expect(estimateRefresh(times, steps).kind).toBe("unknown");
  });
});

describe("settlePaces", () => {
  const every: Refresh = { kind: "everyRow", period: 0, rows: 0, pause: 0, moves: 0 };
  const held = (rows: number): Refresh => ({ kind: "held", period: 0.1 * rows, rows, pause: 0, moves: 0 });
  const unknown: Refresh = { kind: "unknown", period: 0, rows: 0, pause: 0, moves: 0 };
  const sparse: Refresh = { kind: "sparse", period: 0.5, rows: 5, pause: 0, moves: 0 };
  it("takes what tells nothing as the others are", () => {
    expect(settlePaces([every, every, unknown], false)).toEqual([null, null, null]);
    expect(settlePaces([held(10), held(10), every, unknown], false)).toEqual([1, 1, null, 1]);
    expect(settlePaces([unknown], false)).toEqual([null]);
  });
  it("believes a poll of a few rows beside channels of every row, but not one of many", () => {
    expect(settlePaces([every, every, held(4)], false)).toEqual([null, null, 0.4]);
    expect(settlePaces([every, every, held(90)], false)).toEqual([null, null, null]);
    expect(settlePaces([held(30), held(31), held(29), every], false)).toEqual([3, 0.1 * 31, 0.1 * 29, null]);
  });
  it("keeps sparse channels at their rows, and every channel of rows without times", () => {
    expect(settlePaces([sparse, every], false)).toEqual([0.5, null]);
    expect(settlePaces([sparse, held(4), unknown], true)).toEqual([null, null, null]);
  });
});
