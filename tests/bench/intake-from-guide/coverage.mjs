// How often the intervals of trials and of restriction budgets hold the truth on the worlds written from the guides alone.
// Run: npm run build, then: node tests/bench/intake-from-guide/coverage.mjs [simulations per family] [tracts | trials | part of a family's name]
import { existsSync, readFileSync, writeFileSync } from "node:fs";
import { compareRuns, predictChange, restrictionBudget } from "bellmouth/intake";
import { drawTract } from "./tract-world.mjs";
import { drawTrial } from "./trial-world.mjs";

const simulations = Number(process.argv[2] ?? 200);
const only = process.argv[3] ?? "";
const share = ([hits, all]) => (all === 0 ? "  –  " : `${((100 * hits) / all).toFixed(1)} %`);
const holds = (estimate, truth) => estimate.from <= truth && truth <= estimate.to;
const groups = {};
/** Adds what one family counted to the figure of its group. */
function gather(group, subject, [hits, all]) {
  groups[group] ??= {};
  groups[group][subject] ??= [0, 0];
  groups[group][subject][0] += hits;
  groups[group][subject][1] += all;
}
const groupOf = (name) =>
  name.startsWith("heat soak stated")
    ? "heat soak stated"
    : name.startsWith("heat soak")
      ? "heat soak of 4 %"
      : !name.startsWith("step")
        ? "all orders of runs"
        : name.startsWith("step 0")
          ? "readings without a step"
          : `steps of 250 Pa, 0.1 psi, 1 kPa, ${name.includes("typed") ? "typed" : "logged"}`;
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
function trialFamily(family, base, name) {
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
  const group = groupOf(name);
  gather(group, "pooled effect", pooled);
  gather(group, "effect at single points", points);
  gather(group, "claims", claims);
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

function tractFamily(family, base, name) {
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
  const group = `tracts, ${name}`;
  gather(group, "shares", shares);
  gather(group, "drops", drops);
  gather(group, "predicted rise", rises);
  return `shares ${share(shares)}  drops ${share(drops)}  rise ${share(rises)}`;
}

const run = (families, judge, first) => {
  Object.entries(families).forEach(([name, family], k) => {
    if (!whole && !name.includes(only)) return;
    console.log(`${name.padEnd(40)} ${judge(family, first + 1_000_003 * k, name)}`);
  });
};
const whole = ["", "tracts", "trials"].includes(only);
if (only !== "trials") run(tracts, tractFamily, 5000);
if (only !== "tracts") run(trials, trialFamily, 100_000);

const rows = Object.entries(groups).flatMap(([group, subjects]) =>
  Object.entries(subjects).map(([subject, [hits, all]]) => {
    const claims = subject === "claims";
    const shown = (100 * hits) / all;
    return {
      id: `intake-from-guide-${`${group} ${subject}`.replace(/[^a-z0-9]+/gi, "-").toLowerCase()}`,
      area: group.startsWith("tracts") ? "Restriction" : "Trial",
      what: claims
        ? `trials of the second generator that claim a difference where there is none: ${group}`
        : `95 % intervals of the ${subject}, second generator: ${group}`,
      evidence: "simulation",
      source: "tests/bench/intake-from-guide/coverage.mjs, written from the guides before the code was read",
      compared: all,
      measured: Number((claims ? shown : Math.abs(shown - 95)).toFixed(3)),
      limit: claims ? 5 : 1,
      unit: claims ? "% of trials" : `percentage points from 95 % (covered ${shown.toFixed(2)} %)`,
    };
  }),
);
// Tracts and trials may be scored apart: the rows of what was not run stay as they are.
if (whole) {
  const file = new URL("../scores/intake-from-guide.json", import.meta.url);
  const stored = existsSync(file) ? JSON.parse(readFileSync(file, "utf8")) : [];
  const made = new Set(rows.map(({ id }) => id));
  const kept = stored.filter(({ id }) => !made.has(id));
  writeFileSync(file, `${JSON.stringify([...kept, ...rows], null, 2)}\n`);
}
