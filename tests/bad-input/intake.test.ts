import type { MoistAir } from "bellmouth/air";
import {
  compareRuns,
  restrictionBudget,
  type Tract,
  type TractPoint,
  type TrialOptions,
  type TrialRun,
} from "bellmouth/intake";
import {
  celsius,
  gramsPerSecond,
  kilopascals,
  type MassFlow,
  type PressureDifference,
  pascals,
  pascalsDifference,
  rpm,
  seconds,
  squareMetres,
} from "bellmouth/units";
import { describe, expect, it } from "vitest";

/** The fault code of what `work` throws; fails when it throws nothing or something else. */
function codeOf(work: () => unknown): string {
  try {
    work();
  } catch (error) {
    const { name, code, message } = error as { name: string; code: string; message: string };
    expect(name, message).toBe("BellmouthError");
    return code;
  }
  throw new Error("nothing was thrown");
}
const messageOf = (work: () => unknown): string => {
  try {
    work();
  } catch (error) {
    return (error as Error).message;
  }
  throw new Error("nothing was thrown");
};

const air: MoistAir = { pressure: kilopascals(99), temperature: celsius(20), relativeHumidity: 0.5 };
const speeds = Array.from({ length: 90 }, (_, i) => (4000 + 28 * i) / 60);
const options: TrialOptions = {
  points: [4500, 5000, 5500, 6000].map(rpm),
  quantity: "pressure",
  power: 0.8,
};
const makeRun = (side: "before" | "after", minutes: number, change: Partial<TrialRun> = {}): TrialRun => ({
  id: `${side} ${minutes}`,
  side,
  at: seconds(60 * minutes),
  air,
  form: "log",
  samples: {
    speed: speeds,
    pressure: speeds.map((n) => air.pressure - (side === "after" ? 3500 : 4000) * (n / 100) ** 2),
  },
  ...change,
});
const runs = [makeRun("before", 0), makeRun("after", 10), makeRun("after", 20), makeRun("before", 30)];
const withRun = (change: Partial<TrialRun>): TrialRun[] => [makeRun("before", 0, change), ...runs.slice(1)];
const pressures = (of: (pressure: number) => number): Partial<TrialRun> => ({
  samples: { speed: speeds, pressure: (makeRun("before", 0).samples.pressure ?? []).map(of) },
});

describe("bad input of a trial", () => {
  it("works as it stands", () => {
    expect(compareRuns(runs, options).claim).toBe("rise");
  });
  it("runs that do not overlap in rpm", () => {
    const low = speeds.map((n) => n - 40);
    const apart = withRun({ samples: { speed: low, pressure: low.map(() => 97_000) } });
    expect(codeOf(() => compareRuns(apart, options))).toBe("E_TOO_LITTLE_DATA");
    expect(messageOf(() => compareRuns(apart, options))).toMatch(/does not cover any of the trial's points/);
    // each covers some points, but the sides share none
    const half = (side: "before" | "after", minutes: number): TrialRun =>
      makeRun(side, minutes, {
        samples: {
          speed: speeds,
          pressure: speeds.map((n) => (n < 88 === (side === "before") ? 96_000 : Number.NaN)),
        },
      });
    const halves = [half("before", 0), half("after", 10), half("after", 20), half("before", 30)];
    expect(codeOf(() => compareRuns(halves, options))).toBe("E_TOO_LITTLE_DATA");
    expect(messageOf(() => compareRuns(halves, options))).toMatch(/do not overlap in engine speed/);
  });
  it("gauge pressure given as absolute: below zero, or a depression as a small positive number", () => {
    const negative = withRun(pressures((p) => p - air.pressure));
    expect(codeOf(() => compareRuns(negative, options))).toBe("E_DOMAIN");
    const depression = withRun(pressures((p) => air.pressure - p));
    expect(messageOf(() => compareRuns(depression, options))).toMatch(/gauge reading given as absolute/);
  });
  it("units mixed: kPa, psi or rpm in one run", () => {
    for (const factor of [1e-3, 1 / 6894.757, 1e-5])
      expect(codeOf(() => compareRuns(withRun(pressures((p) => p * factor)), options))).toBe("E_DOMAIN");
    const inRpm = withRun({
      samples: { speed: speeds.map((n) => 60 * n), pressure: speeds.map(() => 96_000) },
    });
    expect(codeOf(() => compareRuns(inRpm, options))).toBe("E_DOMAIN");
    const celsiusAsKelvin = withRun({ samples: { speed: speeds, temperature: speeds.map(() => 31) } });
    expect(codeOf(() => compareRuns(celsiusAsKelvin, { ...options, quantity: "temperature" }))).toBe(
      "E_DOMAIN",
    );
  });
  it("a barometer below the manifold", () => {
    const low = withRun({ air: { ...air, pressure: kilopascals(93) } });
    expect(codeOf(() => compareRuns(low, options))).toBe("E_DOMAIN");
    expect(messageOf(() => compareRuns(low, options))).toMatch(/manifold is above the barometer/);
  });
  it("one sample, no samples, no runs, one side", () => {
    for (const n of [0, 1, 2]) {
      const few = withRun({
        samples: { speed: speeds.slice(0, n), pressure: speeds.slice(0, n).map(() => 96_000) },
      });
      expect(
        codeOf(() => compareRuns(few, options)),
        `${n} samples`,
      ).toBe("E_TOO_LITTLE_DATA");
    }
    const missing = withRun(pressures(() => Number.NaN));
    expect(codeOf(() => compareRuns(missing, options))).toBe("E_TOO_LITTLE_DATA");
    expect(codeOf(() => compareRuns([], options))).toBe("E_TOO_LITTLE_DATA");
    expect(codeOf(() => compareRuns(runs.slice(0, 1), options))).toBe("E_TOO_LITTLE_DATA");
  });
  it("columns of unequal length, repeated names, equal stamps, no column of the quantity", () => {
    const short = withRun({ samples: { speed: speeds, pressure: [96_000] } });
    expect(codeOf(() => compareRuns(short, options))).toBe("E_SHAPE");
    expect(codeOf(() => compareRuns([...runs, runs[0] as TrialRun], options))).toBe("E_SHAPE");
    expect(codeOf(() => compareRuns(withRun({ at: seconds(600) }), options))).toBe("E_ORDER");
    expect(codeOf(() => compareRuns(runs, { ...options, quantity: "temperature" }))).toBe("E_SHAPE");
    expect(codeOf(() => compareRuns(withRun({ at: seconds(Number.NaN) }), options))).toBe("E_DOMAIN");
  });
  it("points that fall, are none, or are NaN; a repeatability of zero", () => {
    expect(codeOf(() => compareRuns(runs, { ...options, points: [] }))).toBe("E_TOO_LITTLE_DATA");
    expect(codeOf(() => compareRuns(runs, { ...options, points: [rpm(5000), rpm(4500)] }))).toBe("E_ORDER");
    expect(codeOf(() => compareRuns(runs, { ...options, points: [rpm(Number.NaN)] }))).toBe("E_DOMAIN");
    expect(codeOf(() => compareRuns(runs, { ...options, repeatability: { sd: 0 } }))).toBe("E_DOMAIN");
  });
  it("a single pair gets its number and no interval: a stated limit", () => {
    const pair = compareRuns(runs.slice(0, 2), options);
    expect(pair.pooled.effect).toBeGreaterThan(0);
    expect(pair.pooled.estimate).toBeNull();
    expect(pair.flags).toContain("no interval");
  });
});

const tract: Tract = {
  elements: [
    { name: "filter", end: { reads: "total" } },
    { name: "meter", role: "meter housing", end: { reads: "total" } },
  ],
};
const flows = [110, 140, 170, 200].map(gramsPerSecond);
const points = (drop: (flow: MassFlow, station: number) => number): TractPoint[] =>
  flows.map((flow) => ({
    pull: "pull",
    flow,
    drops: [0, 1].map((s): PressureDifference => pascalsDifference(drop(flow, s))),
  }));
const good = points((flow, s) => (s + 1) * 4e4 * flow ** 2 + 3 * Math.sin(1e3 * flow + s));
const budget = (list: readonly TractPoint[], change: Partial<Tract> = {}) =>
  restrictionBudget({ ...tract, ...change }, list, air);

describe("bad input of a restriction budget", () => {
  it("works as it stands", () => {
    expect(budget(good).total.value).toBeGreaterThan(0);
  });
  it("absolute pressures given as drops, and drops below the outside air", () => {
    expect(codeOf(() => budget(points(() => 96_000)))).toBe("E_DOMAIN");
    expect(messageOf(() => budget(points(() => -3000)))).toMatch(/above the outside air/);
  });
  it("flows in g/s, negative or NaN", () => {
    for (const flow of [150, -0.1, 0, Number.NaN]) {
      const wrong = good.map((point, i) => (i === 0 ? { ...point, flow: flow as MassFlow } : point));
      expect(
        codeOf(() => budget(wrong)),
        `${flow}`,
      ).toBe("E_DOMAIN");
    }
  });
  it("no points, one point, one flow, an unread station", () => {
    expect(codeOf(() => budget([]))).toBe("E_TOO_LITTLE_DATA");
    expect(codeOf(() => budget(good.slice(0, 1)))).toBe("E_TOO_LITTLE_DATA");
    expect(codeOf(() => budget(good.slice(0, 2)))).toBe("E_TOO_LITTLE_DATA");
    const same = good.map((point) => ({ ...point, flow: gramsPerSecond(150) }));
    expect(codeOf(() => budget(same))).toBe("E_SINGULAR");
    const unread = good.map((point) => ({
      ...point,
      drops: [point.drops[0] as PressureDifference, Number.NaN as PressureDifference],
    }));
    expect(codeOf(() => budget(unread))).toBe("E_TOO_LITTLE_DATA");
    expect(messageOf(() => budget(unread))).toMatch(/after "meter"/);
  });
  it("too many points to be separate evidence", () => {
    const many = Array.from({ length: 501 }, (_, i) => good[i % 4] as TractPoint);
    expect(codeOf(() => budget(many))).toBe("E_TOO_LARGE");
  });
  it("wrong shapes and names", () => {
    const short = good.map((point) => ({ ...point, drops: point.drops.slice(0, 1) }));
    expect(codeOf(() => budget(short))).toBe("E_SHAPE");
    expect(codeOf(() => budget(good, { elements: [] }))).toBe("E_SHAPE");
    const twins = tract.elements.map((element) => ({ ...element, name: "twin" }));
    expect(codeOf(() => budget(good, { elements: twins }))).toBe("E_SHAPE");
    const meters = tract.elements.map((element) => ({ ...element, role: "meter housing" as const }));
    expect(codeOf(() => budget(good, { elements: meters }))).toBe("E_SHAPE");
  });
  it("areas in square millimetres, or with more doubt than area", () => {
    for (const area of [
      { value: squareMetres(4300), u: squareMetres(0) },
      { value: squareMetres(0.0043), u: squareMetres(0.01) },
      { value: squareMetres(Number.NaN), u: squareMetres(0) },
    ]) {
      const elements = tract.elements.map((element) => ({ ...element, area }));
      expect(codeOf(() => budget(good, { elements }))).toBe("E_DOMAIN");
    }
  });
  it("a barometer that is none, a gauge that reads nothing of the tract", () => {
    const gauge = { ...air, pressure: pascals(99) };
    expect(codeOf(() => restrictionBudget(tract, good, gauge))).toBe("E_DOMAIN");
    const gauges = [{ elements: ["turbo"], zero: pascalsDifference(1), gain: 0.01 }];
    expect(codeOf(() => restrictionBudget(tract, good, air, { gauges }))).toBe("E_SHAPE");
  });
});
