import { describe, expect, it } from "vitest";
import { kilogramsPerSecond } from "../../units/index.js";
import { makeTransferCurve, type TransferCurve } from "../transfer-curve.js";
import { type HeadroomThresholds, headroom } from "./headroom.js";
import { idleEnd } from "./idle-end.js";
import { uncertaintyAt, usableSignal } from "./usable-signal.js";

const curve = (u = 0.02): TransferCurve =>
  makeTransferCurve({
    signal: "voltage",
    outside: "hold",
    cells: [
      [0.5, 0.001],
      [1, 0.004],
      [2, 0.02],
      [3, 0.07],
      [4, 0.18],
      [5, 0.38],
    ].map(([signal, flow]) => ({
      signal: signal as number,
      flow: flow as number,
      origin: "measured" as const,
      budget: { element: u },
      flags: [],
    })),
  });
const thresholds: HeadroomThresholds = { watchShare: 0.9, watchChance: 0.01, overChance: 0.2 };
const demand = (
  flow: number,
  u = 0,
): { name: string; flow: { value: ReturnType<typeof kilogramsPerSecond>; u: number } } => ({
  name: "pull",
  flow: { value: kilogramsPerSecond(flow), u },
});

describe("usableSignal", () => {
  it("the table's ends when nothing else is known", () => {
    const usable = usableSignal(curve(), {});
    expect([usable.from, usable.to, usable.flowFrom, usable.flowTo]).toEqual([0.5, 5, 0.001, 0.38]);
    expect([usable.limitedBelowBy, usable.limitedBy]).toEqual(["table", "table"]);
  });
  it.each([
    [{ sensor: { from: 0.2, to: 4.8 } }, "sensor", 4.8, 0.34],
    [{ capture: { from: 0, to: 4.5 }, sensor: { from: 0.2, to: 4.8 } }, "capture", 4.5, 0.28],
    [{ storage: { from: 0, to: 0.255 } }, "storage", 4.375, 0.255],
    [{ storage: { from: 0, to: 0.655 } }, "table", 5, 0.38],
  ] as const)("the tightest limits: %j", (limits, limitedBy, to, flow) => {
    const usable = usableSignal(curve(), limits);
    expect(usable.limitedBy).toBe(limitedBy);
    expect(usable.to).toBeCloseTo(to, 12);
    expect(usable.flowTo).toBeCloseTo(flow, 12);
    expect(usable.tops[0]?.limit).toBe(limitedBy);
  });
  it("the lower end too", () => {
    const usable = usableSignal(curve(), { sensor: { from: 0.8, to: 5 }, storage: { from: 0.002, to: 1 } });
    expect(usable.limitedBelowBy).toBe("sensor");
    expect(usable.flowFrom).toBeCloseTo(0.0028, 12);
    expect(usableSignal(curve(), { storage: { from: 0.003, to: 1 } }).limitedBelowBy).toBe("storage");
  });
  it("refuses limits that leave nothing, or are no spans", () => {
    expect(() => usableSignal(curve(), { sensor: { from: 6, to: 8 } })).toThrow(/leave no signal/);
    expect(() => usableSignal(curve(), { sensor: { from: 4, to: 4 } })).toThrow(/limits\.sensor\.to/);
    expect(() => usableSignal(curve(), { capture: { from: Number.NaN, to: 4 } })).toThrow(
      /limits\.capture\.from/,
    );
  });
  it("uncertainty between cells", () => {
    const c = curve();
    const cells = c.cells.map((cell, i) => ({ ...cell, budget: { element: 0.01 * (i + 1) } }));
    const graded = { ...c, cells };
    expect(uncertaintyAt(graded, 3.5)).toBeCloseTo(0.045, 12);
    expect(uncertaintyAt(graded, 0.1)).toBeCloseTo(0.01, 12);
    expect(uncertaintyAt(graded, 9)).toBeCloseTo(0.06, 12);
    expect(uncertaintyAt(graded, 2)).toBeCloseTo(0.03, 12);
  });
});

describe("headroom", () => {
  it("signal reached, share of the span, flow left", () => {
    const { scenarios } = headroom(curve(), {}, [demand(0.125)], thresholds);
    const [one] = scenarios;
    expect(one?.signal).toBeCloseTo(3.5, 12);
    expect(one?.share).toBeCloseTo(3 / 4.5, 12);
    expect(one?.flowLeft).toBeCloseTo(0.255, 12);
    expect(one?.flowLeftShare).toBeCloseTo(0.38 / 0.125 - 1, 12);
    expect(one?.state).toBe("clear");
    expect(one?.lastCell).toBe(4);
  });
  it("probability of running past: normal in ln flow with both doubts", () => {
    // ln(0.38/0.36) = 0.0541; sqrt(0.03^2 + 0.04^2) = 0.05; z = -1.0813; table of the normal: 0.1398.
    const { scenarios } = headroom(curve(0.03), {}, [demand(0.36, 0.36 * 0.04)], thresholds);
    expect(scenarios[0]?.chanceOver).toBeCloseTo(0.1398, 4);
    expect(scenarios[0]?.state).toBe("watch");
  });
  it("what both have in common cancels", () => {
    const one = { ...demand(0.36, 0.36 * 0.04), shared: 0.03 };
    const { scenarios } = headroom(curve(0.03), {}, [one], thresholds);
    // sqrt(0.0025 - 0.0018) = 0.02646; z = -2.0436: 0.0205.
    expect(scenarios[0]?.chanceOver).toBeCloseTo(0.0205, 4);
    // N18: more than either side's own cannot be shared.
    const most = headroom(curve(0.03), {}, [{ ...one, shared: 0.03 }], thresholds).scenarios[0];
    const more = headroom(curve(0.03), {}, [{ ...one, shared: 0.05 }], thresholds).scenarios[0];
    expect(more?.chanceOver).toBe(most?.chanceOver);
    expect(() => headroom(curve(0.03), {}, [{ ...one, shared: -0.01 }], thresholds)).toThrow(/shared/);
  });
  it("a demand past the table: over, with no last cell, less than no flow left", () => {
    const { scenarios, cells } = headroom(curve(), {}, [demand(0.42)], thresholds);
    expect(scenarios[0]).toMatchObject({ state: "over", lastCell: null });
    expect(scenarios[0]?.signal).toBeCloseTo(5.2, 12);
    expect(scenarios[0]?.share).toBeGreaterThan(1);
    expect(scenarios[0]?.flowLeft).toBeCloseTo(-0.04, 12);
    expect(cells.every(({ reachedBy }) => reachedBy.includes("pull"))).toBe(true);
  });
  it("known exactly, the chance is none or certain", () => {
    const chance = (flow: number): number | undefined =>
      headroom(curve(0), {}, [demand(flow)], thresholds).scenarios[0]?.chanceOver;
    expect(chance(0.379)).toBe(0);
    expect(chance(0.381)).toBe(1);
  });
  it("cells: clear, watch in the top tenth, over past the limit; and who needs them", () => {
    const { cells } = headroom(curve(), { sensor: { from: 0, to: 4.3 } }, [demand(0.05)], thresholds);
    expect(cells.map(({ state }) => state)).toEqual(["clear", "clear", "clear", "clear", "watch", "over"]);
    expect(cells.map(({ reachedBy }) => reachedBy.length)).toEqual([1, 1, 1, 1, 0, 0]);
  });
  it("refuses demands and thresholds out of range", () => {
    expect(() => headroom(curve(), {}, [demand(0)], thresholds)).toThrow(/demands\[0\]\.flow\.value/);
    expect(() => headroom(curve(), {}, [demand(0.1, -1)], thresholds)).toThrow(/demands\[0\]\.flow\.u/);
    expect(() => headroom(curve(), {}, [], { ...thresholds, overChance: 0.001 })).toThrow(/overChance/);
  });
});

describe("idleEnd", () => {
  const usable = usableSignal(curve(), {});
  it("a converter: volts per count times the slope there", () => {
    const end = idleEnd(curve(), usable, kilogramsPerSecond(0.0025), { kind: "step", step: 5 / 1023 });
    expect(end.signal).toBeCloseTo(0.75, 12);
    expect(end.flowPerStep).toBeCloseTo((0.006 * 5) / 1023, 12);
    expect(end.stepShare).toBeCloseTo((0.006 * 5) / 1023 / 0.0025, 12);
    expect(end.below).toBe(false);
  });
  it("a period timer: f^2 tick, less with several periods", () => {
    const hertz: TransferCurve = {
      ...curve(),
      signal: "frequency",
      cells: curve().cells.map((c) => ({ ...c, signal: c.signal * 2000 })),
    };
    const end = idleEnd(hertz, usableSignal(hertz, {}), kilogramsPerSecond(0.0025), {
      kind: "tick",
      tick: 1e-6,
    });
    expect(end.step).toBeCloseTo(2.25, 9);
    const four = { kind: "tick", tick: 1e-6, periods: 4 } as const;
    expect(idleEnd(hertz, usable, kilogramsPerSecond(0.0025), four).step).toBeCloseTo(2.25 / 4, 9);
  });
  it("under the usable signal it says so", () => {
    expect(idleEnd(curve(), usable, kilogramsPerSecond(0.0005), { kind: "step", step: 0.005 }).below).toBe(
      true,
    );
  });
  it("refuses steps and flows that are none", () => {
    expect(() => idleEnd(curve(), usable, kilogramsPerSecond(0), { kind: "step", step: 0.005 })).toThrow(
      /idle/,
    );
    expect(() => idleEnd(curve(), usable, kilogramsPerSecond(0.002), { kind: "step", step: 0 })).toThrow(
      /step/,
    );
    expect(() => idleEnd(curve(), usable, kilogramsPerSecond(0.002), { kind: "tick", tick: -1 })).toThrow(
      /tick/,
    );
  });
});
