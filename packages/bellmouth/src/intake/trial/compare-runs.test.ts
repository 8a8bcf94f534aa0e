import { describe, expect, it } from "vitest";
import { airDensity } from "../../air/index.js";
import { celsius, kilopascals, rpm, seconds } from "../../units/index.js";
import { compareRuns } from "./compare-runs.js";
import type { TrialRun } from "./run.js";
import type { TrialOptions } from "./trial-result.js";

const speeds = Array.from({ length: 100 }, (_, i) => (3900 + 28 * i) / 60);
const air = (pressure = 99, temperature = 20) => ({
  pressure: kilopascals(pressure),
  temperature: celsius(temperature),
  relativeHumidity: 0.5,
});

/** A run whose drop is scale (n/100)^2 in reference air. */
function run(id: string, side: "before" | "after", minutes: number, scale: number, day = air()): TrialRun {
  const density = airDensity(day) / airDensity(air());
  return {
    id,
    side,
    at: seconds(60 * minutes),
    air: day,
    course: "hill road, uphill",
    form: "log",
    samples: {
      speed: speeds,
      pressure: speeds.map((n) => day.pressure - scale * density * (n / 100) ** 2),
      temperature: speeds.map((n) => day.temperature + 12 - 0.05 * (n - 65) + (side === "after" ? -2 : 0)),
    },
  };
}

const options: TrialOptions = {
  points: [4500, 5000, 5500, 6000].map(rpm),
  quantity: "pressure",
  power: 0.8,
  common: air(),
};
const four = [
  run("a1", "before", 0, 5000),
  run("b1", "after", 10, 4200),
  run("b2", "after", 20, 4230),
  run("a2", "before", 30, 5020),
];

describe("compareRuns", () => {
  it("finds the effect at each point and over all", () => {
    const result = compareRuns(four, options);
    expect(result.claim).toBe("rise");
    expect(result.points[3]?.effect as number).toBeGreaterThan(result.points[0]?.effect as number);
    expect(result.points[3]?.before).toBeCloseTo(5010, 0);
    const mean = result.points.reduce((sum, point) => sum + (point.effect as number) / 4, 0);
    expect(result.pooled.effect).toBeCloseTo(mean, 6);
    expect(result.pooled.estimate?.degreesOfFreedom).toBe(1);
    expect(result.flags).toEqual([]);
    expect(JSON.parse(JSON.stringify(result))).toEqual(result);
  });
  it("brings weather to common air", () => {
    const weather = [
      run("a1", "before", 0, 5000, air(98, 16)),
      run("b1", "after", 10, 4200, air(99.5, 23)),
      run("b2", "after", 20, 4200, air(98.6, 19)),
      run("a2", "before", 30, 5000, air(100, 27)),
    ];
    const result = compareRuns(weather, options);
    expect(result.points[3]?.effect).toBeCloseTo(800, 6);
    expect(result.points[3]?.before).toBeCloseTo(5000, 6);
  });
  it("takes a steady drift out", () => {
    const drifting = four.map((one, i) =>
      run(one.id, one.side, i * 10, (one.side === "after" ? 4200 : 5000) + 40 * i),
    );
    const result = compareRuns(drifting, options);
    expect(result.points[3]?.effect).toBeCloseTo(800, 6);
    expect(result.drift?.value as number).toBeLessThan(0);
  });
  it("says what a single pair cannot know", () => {
    const pair = four.slice(0, 2);
    const bare = compareRuns(pair, options);
    expect(bare.flags).toEqual(expect.arrayContaining(["single pair", "no interval"]));
    expect(bare.pooled.estimate).toBeNull();
    expect(bare.claim).toBe("none");
    expect(bare.detectable).toBeNull();
    const stated = compareRuns(pair, { ...options, repeatability: { sd: 40 } });
    expect(stated.flags).toEqual(expect.arrayContaining(["single pair", "stated repeatability"]));
    expect(stated.claim).toBe("rise");
    expect(stated.points[0]?.estimate).toBeNull();
  });
  it("compares intake temperature over the outside air in the same way", () => {
    const result = compareRuns(four, { ...options, quantity: "temperature" });
    expect(result.pooled.effect).toBeCloseTo(-2, 6);
    expect(result.claim).toBe("fall");
  });
  it("flags an old-first order, long trials and other roads", () => {
    const poor = [
      run("a1", "before", 0, 5000),
      run("a2", "before", 20, 5030),
      { ...run("b1", "after", 70, 4200), course: "hill road, downhill" },
      run("b2", "after", 90, 4210),
    ];
    const { flags, orderCost } = compareRuns(poor, options);
    expect(flags).toEqual(expect.arrayContaining(["over an hour", "courses differ", "order costs"]));
    expect(orderCost).toBeGreaterThan(3);
  });
  it("says how many runs would show a wanted difference", () => {
    const { needed } = compareRuns(four, { ...options, wanted: 60 });
    expect(needed?.perSide as number).toBeGreaterThanOrEqual(2);
    expect(needed?.order.slice(0, 4)).toEqual(["before", "after", "after", "before"]);
  });
  it("takes typed points", () => {
    const typed = four.map(
      (one): TrialRun => ({
        ...one,
        form: "points",
        samples: {
          speed: options.points,
          pressure: options.points.map(
            (n) => one.air.pressure - (one.side === "after" ? 4200 : 5000) * (n / 100) ** 2,
          ),
        },
      }),
    );
    expect(compareRuns(typed, options).points[3]?.effect).toBeCloseTo(800, 6);
  });
  it("needs a window where there is one point, and a power", () => {
    expect(() => compareRuns(four, { ...options, points: [rpm(5000)] })).toThrow(/E_SHAPE/);
    expect(compareRuns(four, { ...options, points: [rpm(5000)], window: rpm(300) }).points.length).toBe(1);
    expect(() => compareRuns(four, { ...options, power: 1 })).toThrow(/E_DOMAIN/);
  });
});
