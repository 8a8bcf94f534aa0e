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
    expect(result.pooled.estimate?.degreesOfFreedom).toBe(2);
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
    const result = compareRuns(drifting, { ...options, drift: "linear" });
    expect(result.points[3]?.effect).toBeCloseTo(800, 6);
    expect(result.drift?.value as number).toBeLessThan(0);
  });
  it("says what a single pair cannot know", () => {
    const pair = four.slice(0, 2);
    const bare = compareRuns(pair, options);
    expect(bare.flags).toEqual(expect.arrayContaining(["single pair", "no interval"]));
    expect(bare.pooled.estimate).toBeNull();
    expect(bare.claim).toBe("cannot tell");
    expect(bare.detectable).toBeNull();
    const stated = compareRuns(pair, { ...options, repeatability: { sd: 40 } });
    expect(stated.flags).toEqual(expect.arrayContaining(["single pair", "stated repeatability"]));
    // A pair has one side first: a repeatability does not bound what soak adds.
    expect(stated.claim).toBe("cannot tell");
    const bounded = compareRuns(pair, {
      ...options,
      repeatability: { sd: 40 },
      soak: { sd: 30, time: 600 },
    });
    expect(bounded.claim).toBe("rise");
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
  const typed = (drops: readonly (readonly number[])[], step?: number) =>
    compareRuns(
      drops.map((values, i): TrialRun => {
        const side = "ABBAABBA"[i] === "A" ? "before" : "after";
        return {
          ...run(`r${i}`, side, 10 * i, 5000),
          form: "points",
          samples: { speed: options.points, pressure: values.map((drop) => air().pressure - drop) },
        };
      }),
      { ...options, ...(step === undefined ? {} : { step }) },
    );
  it("N6: equal readings are not certainty", () => {
    const alike = typed(Array.from({ length: 4 }, () => [500, 500, 500, 500]));
    expect(alike.pooled.estimate).toBeNull();
    expect(alike.claim).toBe("cannot tell");
    expect(alike.flags).toContain("readings alike");
    const stated = typed(
      Array.from({ length: 4 }, () => [500, 500, 500, 500]),
      250,
    );
    // Two readings rounded to 250 Pa differ by at most 250 Pa in truth; 95 % of that triangle is 194 Pa.
    const { from, to } = stated.pooled.estimate as NonNullable<typeof stated.pooled.estimate>;
    expect(to).toBeGreaterThan(180);
    expect(to).toBeLessThan(320);
    expect(from).toBeCloseTo(-(to as number), 3);
    expect(stated.claim).toBe("none");
    expect(stated.detectable as number).toBeGreaterThan(200);
  });
  it("N6: the step is found from what was typed, in psi as in Pa", () => {
    const psi = 6894.757293168361;
    const drops = [
      [0.5, 0.6, 0.7, 0.8],
      [0.4, 0.5, 0.6, 0.7],
      [0.4, 0.5, 0.6, 0.7],
      [0.5, 0.6, 0.7, 0.8],
    ].map((row) => row.map((value) => value * psi));
    const result = typed(drops);
    expect(result.step as number).toBeCloseTo(0.1 * psi, 3);
    expect(result.flags).toContain("step found");
    const point = result.points[0]?.estimate;
    // All four points differ by one step of 689 Pa; a single point cannot be surer than its rounding.
    expect((point?.to as number) - (point?.from as number)).toBeGreaterThan(2 * 500);
  });
  it("N8: a difference is claimed exactly where its interval leaves out zero", () => {
    for (let effect = 0; effect <= 400; effect += 10) {
      const result = typed([
        [3000, 3600, 4200, 5001.7],
        [3000 - effect, 3613 - effect, 4190 - effect, 5003.3 - effect],
        [3030 - effect, 3640 - effect, 4244 - effect, 5030.1 - effect],
        [3055, 3641, 4260, 5059.9],
      ]);
      const { from, to } = result.pooled.estimate as { from: number; to: number };
      expect(result.claim).toBe(from > 0 ? "rise" : to < 0 ? "fall" : "none");
    }
  });
  it("N11: with one side first nothing is claimed unless a soak is stated, or every run had settled", () => {
    const blocks = [
      run("a1", "before", 0, 5000),
      run("a2", "before", 10, 5017),
      run("b1", "after", 20, 4203),
      run("b2", "after", 30, 4214),
    ];
    const bare = compareRuns(blocks, options);
    expect(bare.claim).toBe("cannot tell");
    expect(bare.flags).toContain("one side first");
    const stated = compareRuns(blocks, {
      ...options,
      soak: { sd: 50, time: 600 },
      drift: { perSecond: 0.01 },
    });
    expect(stated.claim).toBe("rise");
    expect(stated.flags).toContain("one side first, bounded");
    const wide = compareRuns(blocks, {
      ...options,
      soak: { sd: 2000, time: 600 },
      drift: { perSecond: 0.01 },
    });
    expect(wide.claim).toBe("none");
    const calm = blocks.map((one) => ({ ...one, settling: { coolant: 0.005, intake: 0.01 } }));
    expect(compareRuns(calm, { ...options, drift: { perSecond: 0.01 } }).claim).toBe("rise");
    const hot = calm.map((one, i) => (i === 0 ? { ...one, settling: { coolant: 0.1, intake: 0.01 } } : one));
    const moving = compareRuns(hot, options);
    expect(moving.flags).toEqual(expect.arrayContaining(["not settled", "one side first"]));
    expect(moving.unsettled).toEqual(["a1"]);
  });
  it("N20: four runs judge as a two-sample t interval does, within a third", () => {
    const drops = [
      [3000, 3600, 4200, 5001.7],
      [2800, 3413, 3990, 4803.3],
      [2830, 3440, 4044, 4830.1],
      [3055, 3641, 4260, 5059.9],
    ];
    const own = typed(drops).pooled.estimate as { from: number; to: number };
    const mean = drops.map((row) => row.reduce((sum, value) => sum + value, 0) / 4) as [
      number,
      number,
      number,
      number,
    ];
    const sd = Math.sqrt(((mean[0] - mean[3]) ** 2 / 2 + (mean[1] - mean[2]) ** 2 / 2) / 2);
    // t of 2 degrees of freedom at 97.5 %: 4.303 (standard tables)
    const plain = 4.303 * sd;
    expect((own.to - own.from) / 2 / plain).toBeGreaterThan(0.75);
    expect((own.to - own.from) / 2 / plain).toBeLessThan(1.34);
  });
  it("V8: a log of 300,000 rows is compared", () => {
    const long = (one: TrialRun): TrialRun => ({
      ...one,
      samples: {
        speed: Array.from({ length: 300_000 }, (_, i) => 65 + i / 8000),
        pressure: Array.from({ length: 300_000 }, (_, i) => 94_000 - i / 1000),
      },
    });
    expect(compareRuns([long(four[0] as TrialRun), ...four.slice(1)], options).runs.length).toBe(4);
    const slow = { ...options, points: [rpm(29_000), rpm(29_500)] };
    expect(() => compareRuns(four.map(long), slow)).toThrow(/does not cover any/);
  });
  it("V8: a log of 300,000 rows, all of them far below full-throttle pressure, is refused by name", () => {
    const idle = (one: TrialRun): TrialRun => ({
      ...one,
      samples: {
        speed: Array.from({ length: 300_000 }, (_, i) => 65 + i / 8000),
        pressure: Array.from({ length: 300_000 }, () => 30_000),
      },
    });
    expect(() => compareRuns(four.map(idle), options)).toThrow(/half of the outside pressure or less/);
  });
  it("N22: a boosted engine's manifold is compared over the barometer, and said to be so", () => {
    // A boost control that holds 80 kPa over the barometer, less what the tract takes.
    const charged = (one: TrialRun, barometer: number): TrialRun => ({
      ...one,
      air: air(barometer),
      samples: {
        speed: speeds,
        pressure: speeds.map(
          (n) => 1000 * (barometer + 80) - (one.side === "after" ? 4200 : 5000) * (n / 100) ** 2,
        ),
      },
    });
    const weather = four.map((one, i) => charged(one, [98, 99.5, 100, 98.6][i] as number));
    expect(() => compareRuns(weather, options)).toThrow(/boosted/);
    const result = compareRuns(weather, { ...options, boosted: true, step: 0 });
    expect(result.flags).toContain("boosted");
    expect(result.points[3]?.effect).toBeCloseTo(800, 6);
    // The density of the air must not scale the 80 kPa.
    expect(result.points[3]?.before).toBeCloseTo(5000 - 80_000, 6);
  });
  it("takes typed points", () => {
    const points = four.map(
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
    expect(compareRuns(points, options).points[3]?.effect).toBeCloseTo(800, 6);
  });
  it("needs a window where there is one point, and a power", () => {
    expect(() => compareRuns(four, { ...options, points: [rpm(5000)] })).toThrow(/E_SHAPE/);
    expect(compareRuns(four, { ...options, points: [rpm(5000)], window: rpm(300) }).points.length).toBe(1);
    expect(() => compareRuns(four, { ...options, power: 1 })).toThrow(/E_DOMAIN/);
  });
});
