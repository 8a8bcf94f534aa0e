// How often the intervals of trials and of restriction budgets hold the truth on the worlds written from the guides alone.
// Run: npm run build, then: node tests/bench/intake-from-guide/coverage.mjs [simulations per family] [part of a family's name]
import { compareRuns, predictChange, restrictionBudget } from "bellmouth/intake";
import { drawTract } from "./tract-world.mjs";
import { drawTrial } from "./trial-world.mjs";

const simulations = Number(process.argv[2] ?? 500);
const only = process.argv[3] ?? "";
const share = ([hits, all]) => (all === 0 ? "  –  " : `${((100 * hits) / all).toFixed(1)} %`);
const holds = (estimate, truth) => estimate.from <= truth && truth <= estimate.to;
const count = (pair, hit) => {
  pair[1] += 1;
  if (hit) pair[0] += 1;
};

const trials = {};
const soak = [0.04, 600];
for (const perSide of [2, 3, 4]) {
  for (const order of ["alternating", "mirrored", "oldFirst", "threePart", "shuffled"]) {
    trials[`${order}, ${perSide} a side`] = { order, perSide, step: 0, drift: 120 };
    trials[`heat soak, ${order}, ${perSide} a side`] = { order, perSide, step: 0, drift: 60, soak };
  }
}
// Steps of a tenth of a psi, 250 Pa and 1 kPa.
for (const step of [0, 250, 689.4757, 1000]) {
  for (const typed of [true, false]) {
    for (const perSide of [2, 3]) {
      const how = typed ? "typed" : "logged";
      trials[`step ${step} Pa ${how}, ${perSide} a side`] = {
        order: "mirrored",
        perSide,
        step,
        typed,
        drift: 60,
      };
    }
  }
}
for (const order of ["mirrored", "oldFirst"]) {
  trials[`heat soak stated, ${order}, 3 a side`] = {
    order,
    perSide: 3,
    step: 0,
    drift: 60,
    soak,
    stated: true,
  };
}

function runsOf(world) {
  return world.runs.map((run, i) => ({
    id: `run ${i + 1}`,
    side: run.side,
    at: run.at,
    air: { ...run.air, relativeHumidity: 0 },
    form: run.points === undefined ? "log" : "points",
    samples:
      run.points === undefined
        ? { speed: run.log.map((row) => row.speed / 60), pressure: run.log.map((row) => row.manifold) }
        : {
            speed: run.points.map((point) => point.speed / 60),
            pressure: run.points.map((point) => run.air.pressure - point.drop),
          },
  }));
}

/** Every second trial has no difference; of the others the new part loses 8 % less. */
function trialFamily(family, base) {
  const [pooled, points, claims] = [
    [0, 0],
    [0, 0],
    [0, 0],
  ];
  const halves = [];
  for (let i = 0; i < simulations; i += 1) {
    const effect = i % 2 === 0 ? 0 : -0.08;
    const world = drawTrial({ ...family, seed: base + i, effect });
    const runs = runsOf(world);
    const [first, last] = [runs[0].air, runs[runs.length - 1].air];
    const result = compareRuns(runs, {
      points: world.speeds.map((speed) => speed / 60),
      quantity: "pressure",
      power: 0.8,
      common: {
        pressure: (first.pressure + last.pressure) / 2,
        temperature: (first.temperature + last.temperature) / 2,
        relativeHumidity: 0,
      },
      ...(family.stated ? { soak: { sd: family.soak[0] * world.meanDrop, time: family.soak[1] } } : {}),
    });
    const { estimate } = result.pooled;
    if (effect === 0) count(claims, result.claim === "rise" || result.claim === "fall");
    if (estimate === null) continue;
    count(pooled, holds(estimate, world.truth.pooled));
    halves.push((estimate.to - estimate.from) / 2);
    result.points.forEach((point, k) => {
      if (point.estimate !== null) count(points, holds(point.estimate, world.truth.byPoint[k]));
    });
  }
  halves.sort((a, b) => a - b);
  return `pooled ${share(pooled)}  points ${share(points)}  false claims ${share(claims)}  median half-width ${halves[halves.length >> 1]?.toFixed(0)} Pa`;
}

const area = (bore) => (Math.PI / 4) * bore * bore;
const tracts = {
  "zero and gain stated": { zero: 15, gain: 0.02 },
  "zero and gain stated, quiet": { zero: 15, gain: 0.02, scatter: 3 },
  "no gauge errors": {},
  "step of 25 Pa": { step: 25, scatter: 5 },
  "step of 100 Pa": { step: 100, scatter: 30 },
  "flow of each point off by 1 %": { flowScatter: 0.01 },
};

function tractFamily(family, base) {
  const [shares, drops, rises] = [
    [0, 0],
    [0, 0],
    [0, 0],
  ];
  for (let i = 0; i < simulations; i += 1) {
    const world = drawTract({ ...family, seed: base + i });
    const elements = world.parts.map((part) => ({
      name: part.name,
      area: { value: area(part.bore), u: 0 },
      end:
        part.tapping === "static"
          ? { reads: "static", area: { value: area(part.tappingBore), u: 0 } }
          : { reads: "total" },
    }));
    const budget = restrictionBudget(
      { elements },
      world.readings.map((reading) => ({
        pull: `pull ${reading.pull}`,
        flow: reading.flow,
        drops: reading.below,
      })),
      { ...world.air, relativeHumidity: 0 },
      {
        law: "square",
        peak: world.truth.peak,
        ...(family.zero === undefined
          ? {}
          : {
              gauges: [{ elements: elements.map(({ name }) => name), zero: family.zero, gain: family.gain }],
            }),
        ...(family.step === undefined ? {} : { resolution: family.step }),
      },
    );
    budget.elements.forEach((element, j) => {
      count(shares, holds(element.share, world.truth.shares[j]));
      count(drops, holds(element.drop, world.truth.drops[j]));
    });
    const change = predictChange(budget, {
      change: "bore",
      element: elements[world.change.part].name,
      area: { value: area(world.change.bore), u: 0 },
      kRatio: { value: 1, u: 0 },
    });
    count(rises, holds(change.rise, world.truth.rise));
  }
  return `shares ${share(shares)}  drops ${share(drops)}  rise ${share(rises)}`;
}

const run = (families, judge, first) => {
  Object.entries(families).forEach(([name, family], k) => {
    if (!name.includes(only)) return;
    console.log(`${name.padEnd(40)} ${judge(family, first + 1_000_003 * k)}`);
  });
};
run(tracts, tractFamily, 5000);
run(trials, trialFamily, 100_000);
