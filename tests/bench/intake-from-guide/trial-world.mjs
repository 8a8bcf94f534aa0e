// A second generator of back-to-back trials. It was written from docs/guides/trial.md alone, before the code that judges
// trials was read; it knows nothing of the project's own generator and yields plain readings in SI.
//
// One car, one barometer, two housings. At a speed n the full-throttle drop is
//   drop = shape(n) * size[side] * density * (1 + run error) * (1 + soak(t))  + wander(t) + reading noise
// because the flow follows density and speed, so that flow^2 / density follows density * speed^2.

import { randomFrom } from "./random.mjs";

const gasConstant = 287.05;

/** Orders a person drives in. `o` is the old part, `n` the new one. */
export const orders = {
  alternating: (k) => Array.from({ length: 2 * k }, (_, i) => (i % 2 === 0 ? "o" : "n")).join(""),
  mirrored: (k) => {
    let text = "";
    for (let pair = 0; pair < k; pair += 1) text += pair % 2 === 0 ? "on" : "no";
    return text;
  },
  oldFirst: (k) => "o".repeat(k) + "n".repeat(k),
  threePart: (k) => "o".repeat(Math.ceil(k / 2)) + "n".repeat(k) + "o".repeat(Math.floor(k / 2)),
  shuffled: (k, random) => {
    for (;;) {
      const list = [..."o".repeat(k), ..."n".repeat(k)];
      for (let i = list.length - 1; i > 0; i -= 1) {
        const j = Math.floor(random.uniform() * (i + 1));
        [list[i], list[j]] = [list[j], list[i]];
      }
      return list.join("");
    }
  },
  unequal: (k) => `o${"n".repeat(k)}o${"n".repeat(Math.max(0, k - 2))}`,
};

/** Gauge readings as a person writes them, or samples as a logger stores them, to the nearest step (0: not rounded). */
export const toStep = (value, step) => (step > 0 ? Math.round(value / step) * step : value);

/**
 * One trial and its truth.
 * options: { seed, order (key of orders), perSide, step [Pa], effect (relative change of the drop by the new part),
 *   soak: [relative size sd, time constant s] or none, drift: sd [Pa/h], typed: readings by hand or a log, missing: chance }
 * Returns { step, runs: [{ side, at [s], air: {temperature, pressure}, points | log }], truth: { pooled, byPoint } } where a
 * truth is the mean drop with the old part less that with the new part in the air at the middle of the trial, in Pa.
 */
export function drawTrial(options) {
  const random = randomFrom(options.seed);
  const order = orders[options.order](options.perSide, random);
  const speeds = [4500, 5000, 5500, 6000, 6500].slice(0, random.pick([3, 4, 5, 5]));
  const peakDrop = random.between(2500, 7000);
  const shape = speeds.map((speed) => (speed / 6000) ** 2 * (1 + 0.06 * Math.sin(speed / 700)));
  const minutes = random.between(6, 12);
  const outsideStart = random.between(278, 303);
  const barometerStart = random.between(94000, 102500);
  const warming = random.normal(1.5) / 3600;
  const falling = random.normal(60) / 3600;
  const repeat = random.between(0.002, 0.012);
  const scatter = random.between(15, 60);
  const slope = random.normal(options.drift ?? 0) / 3600;
  const [soakSize, soakTime] = options.soak ?? [0, 600];
  const soak = random.normal(soakSize);
  const wander = random.between(0, 0.5) * (options.drift ?? 0);
  const end = (order.length - 1) * minutes * 60;
  const middle = end / 2;
  const airAt = (time) => ({
    temperature: outsideStart + warming * time,
    pressure: barometerStart + falling * time,
  });
  const density = (air) => air.pressure / (gasConstant * air.temperature);
  const reference = airAt(middle);
  const scale = peakDrop / density(reference);
  const size = { o: 1, n: 1 + options.effect };
  let lag = 0;
  const runs = [...order].map((side, index) => {
    const time = index * minutes * 60 + (index === 0 ? 0 : random.between(-60, 60));
    const air = airAt(time);
    lag = 0.6 * lag + random.normal(wander);
    const runError = random.normal(repeat);
    const soaked = 1 + soak * Math.exp(-time / soakTime);
    const drops = shape.map(
      (s) => s * scale * density(air) * size[side] * (1 + runError) * soaked + slope * (time - middle) + lag,
    );
    const gauge = drops.map((drop) => drop + random.normal(scatter));
    const kept = gauge.map((_, i) => i === 2 || random.uniform() >= (options.missing ?? 0));
    const run = { side: side === "o" ? "before" : "after", at: time, air };
    return options.typed === false
      ? { ...run, log: pull(random, speeds, drops, air, scatter, options.step) }
      : {
          ...run,
          points: speeds.flatMap((speed, i) =>
            kept[i] ? [{ speed, drop: toStep(gauge[i], options.step) }] : [],
          ),
        };
  });
  const byPoint = shape.map((s) => -options.effect * s * peakDrop);
  return {
    step: options.step,
    speeds,
    order,
    runs,
    meanDrop: (peakDrop * shape.reduce((a, b) => a + b, 0)) / shape.length,
    truth: { byPoint, pooled: byPoint.reduce((a, b) => a + b, 0) / byPoint.length },
  };
}

/** A pull of 8 to 12 s through the points at 5 to 20 rows a second; the manifold's absolute pressure in the logger's steps. */
function pull(random, speeds, drops, air, scatter, step) {
  const rate = random.pick([5, 10, 20]);
  const first = speeds[0] - 450;
  const last = speeds[speeds.length - 1] + 350;
  const length = random.between(8, 12);
  const rows = [];
  for (let time = 0; time <= length; time += 1 / rate) {
    const speed = first + ((last - first) * time) / length;
    const drop = dropBetween(speeds, drops, speed) + random.normal(scatter);
    rows.push({
      time,
      speed: Math.round(speed + random.normal(8)),
      manifold: toStep(air.pressure - drop, step),
    });
  }
  return rows;
}

/** The drop between two points, on the square of the speed; beyond the ends by the law of the square from the end point. */
function dropBetween(speeds, drops, speed) {
  if (speed <= speeds[0]) return drops[0] * (speed / speeds[0]) ** 2;
  const top = speeds.length - 1;
  if (speed >= speeds[top]) return drops[top] * (speed / speeds[top]) ** 2;
  const right = speeds.findIndex((value) => value > speed);
  const [low, high] = [speeds[right - 1], speeds[right]];
  const part = (speed ** 2 - low ** 2) / (high ** 2 - low ** 2);
  return drops[right - 1] + part * (drops[right] - drops[right - 1]);
}
