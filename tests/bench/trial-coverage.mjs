// How often the intervals of a back-to-back trial hold the truth, and how often it claims a difference that is not there.
// Run: npm run build, then: node tests/bench/trial-coverage.mjs [simulations per family] [seed]
// The simulator below shares no code with the estimator: it makes logs, sample by sample, of pulls with a known truth.
import { writeFileSync } from "node:fs";
import { compareRuns } from "bellmouth/intake";
import { kelvins, pascals, revsPerSecond, seconds } from "bellmouth/units";

const simulations = Number(process.argv[2] ?? 500);
const seed = Number(process.argv[3] ?? 4711);

/** Small generator of its own (mulberry32), so that the noise owes nothing to the library. */
function makeRandom(start) {
  let state = start >>> 0;
  const uniform = () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
  const normal = () => Math.sqrt(-2 * Math.log(1 - uniform())) * Math.cos(2 * Math.PI * uniform());
  return { uniform, normal, between: (a, b) => a + (b - a) * uniform() };
}

const POINTS = [4400, 4900, 5400, 5900, 6300];
const COMMON = { pressure: 98_600, temperature: 291, relativeHumidity: 0.5 };

/** Density of humid air: ideal gases, vapour pressure by the Magnus form (WMO-No. 8). */
function density({ pressure, temperature, relativeHumidity }) {
  const t = temperature - 273.15;
  const vapour = relativeHumidity * 611.2 * Math.exp((17.62 * t) / (243.12 + t));
  return ((pressure - vapour) / 287.05 + vapour / 461.5) / temperature;
}

/** Drop in common air [Pa]: nearly the square of speed, bent by the engine's breathing. */
const dropAt = (speed, scale) => {
  const breathing = 1 - 0.12 * ((speed - 5500) / 2000) ** 2;
  return scale * (speed / 6000) ** 2 * breathing ** 2;
};
const toStep = (value, step) => (step > 0 ? Math.round(value / step) * step : value);
const intakeOver = (speed, scale) => scale * (1 - 0.35 * (speed / 6000));

/** Heat soak: an error of the first run that has died away after some runs, the same on both sides. */
const soakAt = (car, at) => car.soak * Math.exp(-at / car.soakTime);

/** One reading a point, written down from a gauge that reads below the outside air in steps. */
function typed(random, car, side, at, f, air) {
  const shared = car.runSd * random.normal() + (car.drift * at) / 3600 + soakAt(car, at);
  const pressure = POINTS.map((rpm) => {
    const drop = dropAt(rpm, car.drop) - (side === "after" ? dropAt(rpm, car.effect) : 0);
    const shown = (drop * density(air)) / density(COMMON) - shared - car.noise * random.normal();
    return air.pressure - (f.step > 0 ? Math.round(shown / f.step) * f.step : shown);
  });
  return { form: "points", samples: { speed: POINTS.map((rpm) => rpm / 60), pressure } };
}

/** One pull from 4,000 to 6,700 rpm as a log. */
function pull(random, car, side, at, f) {
  const air = {
    pressure: COMMON.pressure + car.weather * 150 * random.normal(),
    temperature: COMMON.temperature + car.weather * 2 * random.normal(),
    relativeHumidity: 0.5,
  };
  const about = {
    side,
    at: seconds(at),
    air: {
      pressure: pascals(air.pressure),
      temperature: kelvins(air.temperature),
      relativeHumidity: air.relativeHumidity,
    },
  };
  if (f.typed) return { ...about, ...typed(random, car, side, at, f, air) };
  const hz = f.hz;
  const length = 6.5 + random.uniform();
  const n = Math.floor(length * hz);
  const speed = [];
  const value = [];
  const runOffset = car.runSd * random.normal();
  const drift = (car.drift * at) / 3600 + soakAt(car, at);
  let gust = car.gust * random.normal();
  const keep = Math.exp(-1 / (hz * 1.5));
  const from = random.between(3900, 4100);
  const holes = POINTS.map(() => random.uniform() < f.missing);
  for (let i = 0; i < n; i++) {
    const x = i / (n - 1);
    const rpm = from + (6750 - from) * x ** 0.9 + 8 * random.normal();
    gust = keep * gust + Math.sqrt(1 - keep * keep) * car.gust * random.normal();
    const shared = runOffset + drift + gust + car.noise * random.normal();
    let reading;
    if (f.quantity === "pressure") {
      const base = dropAt(rpm, car.drop);
      const effect = side === "after" ? dropAt(rpm, car.effect) : 0;
      reading = air.pressure - ((base - effect) * density(air)) / density(COMMON) + shared;
      reading = toStep(reading, f.step);
    } else {
      const effect = side === "after" ? intakeOver(rpm, car.effect) : 0;
      reading = air.temperature + intakeOver(rpm, car.over) + effect + shared;
      reading = toStep(reading, f.step);
    }
    const hole = POINTS.some((point, k) => holes[k] && Math.abs(rpm - point) < 260);
    speed.push(rpm / 60);
    value.push(hole ? Number.NaN : reading);
  }
  return { ...about, form: "log", samples: { speed, [f.quantity]: value } };
}

const family = (options) => ({
  order: "ABBA",
  quantity: "pressure",
  step: 100, // Pa, or K
  hz: 15,
  missing: 0,
  gust: [5, 30],
  drift: [-150, 150], // per hour
  runSd: [10, 50],
  spacing: [200, 600],
  stated: false, // repeatability known
  soak: [0, 0], // Pa at the first run, either sign
  soakTime: [400, 900], // s
  typed: false,
  learned: 0, // degrees of freedom of a repeatability learned from earlier runs
  ...options,
});

const families = {
  "two runs a side, ABBA": family({}),
  "three runs a side": family({ order: "ABBAAB" }),
  "four runs a side": family({ order: "ABBABAAB" }),
  "six runs a side": family({ order: "ABBABAABABBA" }),
  "three runs a side, old first": family({ order: "AAABBB" }),
  "random order, two to six runs a side": family({ order: "random" }),
  "one run before, three after": family({ order: "BABB" }),
  "two before, five after": family({ order: "BABBABB" }),
  "strong drift": family({ order: "ABBAAB", drift: [-1500, 1500] }),
  "heavy gusts": family({ order: "ABBABAAB", gust: [80, 200] }),
  "large spread from run to run": family({ order: "ABBAAB", runSd: [100, 300] }),
  "points missing": family({ order: "ABBABAAB", missing: 0.12 }),
  "points missing, three runs a side": family({ order: "ABBAAB", missing: 0.12 }),
  "slow log, 4 samples a second": family({ order: "ABBAAB", hz: 4 }),
  "one run a side, stated repeatability": family({ order: "AB", stated: true }),
  "two before, one after, stated repeatability": family({ order: "ABA", stated: true }),
  "two runs a side, repeatability of six earlier runs": family({ learned: 5 }),
  "intake temperature, three runs a side": family({
    order: "ABBAAB",
    quantity: "temperature",
    step: 1,
    gust: [0.1, 0.5],
    drift: [-6, 6],
    runSd: [0.3, 2],
  }),
};

const TENTH_PSI = 689.4757;
const steps = { "no step": 0, "0.1 psi": TENTH_PSI, "250 Pa": 250, "1 kPa": 1000 };
for (const [name, step] of Object.entries(steps)) {
  families[`log, ${name}, three runs a side`] = family({ order: "ABBAAB", step });
  families[`typed, ${name}, two runs a side`] = family({ step, typed: true });
  families[`typed, ${name}, three runs a side`] = family({ order: "ABBAAB", step, typed: true });
}
// Four runs a side keep the order's own figure apart from that of few runs.
const orders = {
  "old, new in turn": "ABABABAB",
  "old first": "AAAABBBB",
  "old, new, old": "AABBBBAA",
  "new first": "BBBBAAAA",
};
for (const [name, order] of Object.entries(orders)) families[`order: ${name}`] = family({ order });
for (const [name, order] of Object.entries({ ...orders, mirrored: "ABBABAAB", "two runs a side": "ABBA" }))
  families[`heat soak, ${name}`] = family({ order, soak: [100, 500] });

function orderOf(random, f) {
  if (f.order !== "random") return [...f.order];
  for (;;) {
    const before = 2 + Math.floor(5 * random.uniform());
    const after = 2 + Math.floor(5 * random.uniform());
    const sides = [...new Array(before).fill("A"), ...new Array(after).fill("B")];
    for (let i = sides.length - 1; i > 0; i--) {
      const j = Math.floor((i + 1) * random.uniform());
      [sides[i], sides[j]] = [sides[j], sides[i]];
    }
    return sides;
  }
}

function makeCar(random, f, effect) {
  const pressure = f.quantity === "pressure";
  return {
    drop: random.between(2500, 6500),
    over: random.between(8, 25),
    effect: effect * (pressure ? random.between(100, 900) : random.between(-6, 6)),
    runSd: random.between(...f.runSd),
    gust: random.between(...f.gust),
    drift: random.between(...f.drift),
    noise: pressure ? random.between(20, 80) : 0.2,
    soak: (random.uniform() < 0.5 ? -1 : 1) * random.between(...f.soak),
    soakTime: random.between(...f.soakTime),
    weather: 1,
  };
}

function makeRuns(random, car, f) {
  let at = 0;
  return orderOf(random, f).map((letter, i) => {
    if (i > 0) at += random.between(...f.spacing);
    return { id: `run ${i + 1}`, ...pull(random, car, letter === "A" ? "before" : "after", at, f) };
  });
}

const truthOf = (car, f) => {
  const at = (speed) =>
    f.quantity === "pressure" ? dropAt(speed, car.effect) : intakeOver(speed, car.effect);
  const byPoint = POINTS.map(at);
  return { byPoint, pooled: byPoint.reduce((sum, x) => sum + x, 0) / POINTS.length };
};

const optionsFor = (f, more) => ({
  points: POINTS.map((speed) => revsPerSecond(speed / 60)),
  quantity: f.quantity,
  power: 0.8,
  common: {
    pressure: pascals(COMMON.pressure),
    temperature: kelvins(COMMON.temperature),
    relativeHumidity: COMMON.relativeHumidity,
  },
  ...more,
});

/** Standard deviation of a run of this car, drift taken out: what a careful owner would know from many repeated runs. */
function repeatabilityOf(random, car, f, runs) {
  const still = { ...car, drift: 0, soak: 0, effect: 0 };
  const values = Array.from({ length: runs }, () => {
    const result = compareRuns(
      [
        { id: "a", ...pull(random, still, "before", 0, f) },
        { id: "b", ...pull(random, still, "after", 1, f) },
      ],
      optionsFor(f, { drift: "none" }),
    );
    return [result.pooled.effect, ...result.points.map((point) => point.effect)];
  });
  // Difference of two runs: variance is twice that of one; its mean is known to be zero.
  const sd = (columns) =>
    Math.sqrt(
      values.reduce(
        (sum, row) => sum + columns.reduce((own, i) => own + row[i] ** 2, 0) / columns.length,
        0,
      ) /
        runs /
        2,
    );
  return { sd: sd([0]), pointSd: sd(POINTS.map((_, i) => i + 1)) };
}

function simulate(random, f, effect) {
  const car = makeCar(random, f, effect);
  // One pair cannot tell a drift from an effect, so there is none in it: the stated limit of a single pair.
  const quiet = f.order === "AB" ? { ...car, drift: 0 } : car;
  let repeatability;
  if (f.stated) repeatability = repeatabilityOf(random, quiet, f, 150);
  if (f.learned > 0) {
    repeatability = { ...repeatabilityOf(random, quiet, f, f.learned), degreesOfFreedom: f.learned };
  }
  const result = compareRuns(
    makeRuns(random, quiet, f),
    optionsFor(f, repeatability === undefined ? {} : { repeatability }),
  );
  const truth = truthOf(quiet, f);
  const claimed = result.claim === "rise" || result.claim === "fall";
  if (result.pooled.estimate === null) return { none: true, claim: claimed };
  const holds = (estimate, value) => value >= estimate.from && value <= estimate.to;
  const pooledTruth =
    result.pooledPoints.reduce((sum, i) => sum + truth.byPoint[i], 0) / result.pooledPoints.length;
  return {
    pooled: holds(result.pooled.estimate, pooledTruth),
    points: result.points.flatMap((point, i) =>
      point.estimate === null ? [] : [holds(point.estimate, truth.byPoint[i])],
    ),
    claim: claimed,
    half: (result.pooled.estimate.to - result.pooled.estimate.from) / 2,
  };
}

const rows = [];
const row = (id, what, measured, limit, n, unit) =>
  rows.push({
    id: `trial-${id}`,
    area: "Trial",
    what,
    evidence: "simulation",
    source: `tests/bench/trial-coverage.mjs, seed ${seed}`,
    compared: n,
    measured: Number(measured.toFixed(4)),
    limit,
    unit,
  });
const off = (share) => 100 * Math.abs(share - 0.95);
const percent = (hits, n) => `${((100 * hits) / n).toFixed(2)} %`;

const groupOf = (name) =>
  /^(log|typed),/.test(name)
    ? "steps of 0, 250 Pa, 0.1 psi, 1 kPa"
    : /^order:/.test(name)
      ? "orders of runs, four a side"
      : /^heat soak/.test(name)
        ? "heat soak of 100 to 500 Pa"
        : "numbers of runs, drifts, gusts, gaps";

function rowsOf(id, name, own) {
  row(
    `coverage-${id}`,
    `95 % interval of the pooled effect: ${name}`,
    off(own.pooled / own.n),
    1,
    own.n,
    `percentage points from 95 % (covered ${percent(own.pooled, own.n)})`,
  );
  row(
    `points-${id}`,
    `95 % intervals at single points: ${name}`,
    off(own.points / own.pointsN),
    1,
    own.pointsN,
    `percentage points from 95 % (covered ${percent(own.points, own.pointsN)})`,
  );
  row(
    `claims-${id}`,
    `trials that claim a difference where there is none: ${name}`,
    (100 * own.claims) / own.nulls,
    5,
    own.nulls,
    "% of trials",
  );
}

let bad = 0;
const groups = {};
const all = { pooled: 0, n: 0, points: 0, pointsN: 0, claims: 0, nulls: 0 };
for (const [name, f] of Object.entries(families)) {
  const random = makeRandom(seed + 104729 * Object.keys(families).indexOf(name));
  const own = { pooled: 0, n: 0, points: 0, pointsN: 0, claims: 0, nulls: 0 };
  const halves = [];
  let refused = 0;
  let unjudged = 0;
  for (let i = 0; i < 2 * simulations; i++) {
    const effect = i % 2;
    let one;
    try {
      one = simulate(random, f, effect);
    } catch (error) {
      // A run with a hole at every point is refused, as it should be.
      if (error.code !== "E_TOO_LITTLE_DATA" || f.missing === 0) throw error;
      refused++;
      continue;
    }
    if (effect === 0) {
      own.nulls++;
      if (one.claim) own.claims++;
    }
    if (one.none) {
      unjudged++;
      continue;
    }
    own.n++;
    if (one.pooled) own.pooled++;
    own.pointsN += one.points.length;
    own.points += one.points.filter(Boolean).length;
    halves.push(one.half);
  }
  for (const key of Object.keys(all)) all[key] += own[key];
  const coverage = own.pooled / own.n;
  const group = groupOf(name);
  groups[group] ??= { pooled: 0, n: 0, points: 0, pointsN: 0, claims: 0, nulls: 0 };
  for (const key of Object.keys(own)) groups[group][key] += own[key];
  // A family's own figure means something only where chance moves it by less than its limit.
  if (own.n >= 1000) rowsOf(name.replace(/[^a-z0-9]+/g, "-"), name, own);
  if (!(off(coverage) <= 1)) bad++;
  halves.sort((a, b) => a - b);
  console.log(
    `${name.padEnd(52)} pooled ${percent(own.pooled, own.n)}  by point ${percent(own.points, own.pointsN)}  ` +
      `claims without a difference ${percent(own.claims, own.nulls)}  median half-width ${halves[Math.floor(own.n / 2)].toFixed(f.quantity === "pressure" ? 0 : 2)}${refused > 0 ? `  (${refused} refused)` : ""}${unjudged > 0 ? `  (${unjudged} without an interval)` : ""}`,
  );
}
for (const [group, counts] of Object.entries(groups))
  rowsOf(group.replace(/[^a-z0-9]+/g, "-"), group, counts);
rowsOf("all", "all families", all);
console.log(
  `all: pooled ${percent(all.pooled, all.n)}, by point ${percent(all.points, all.pointsN)}, false claims ${percent(all.claims, all.nulls)} of ${all.nulls}`,
);
writeFileSync(new URL("./scores/trial.json", import.meta.url), `${JSON.stringify(rows, null, 2)}\n`);
if (bad > 0) {
  console.error(`${bad} families outside 94 to 96 %`);
  process.exitCode = 1;
}
