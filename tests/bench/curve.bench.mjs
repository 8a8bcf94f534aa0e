// Reading a 128-breakpoint curve: bellmouth beside npm's interpolation libraries and numpy.interp, one table.
// Run: npm run build, then: node tests/bench/curve.bench.mjs [points] [rounds] [--check] [--cpu]
// The other libraries are installed into tests/bench/peers from its lockfile on first use. numpy and scipy are used when
// python3 has them (Debian: apt-get install -y python3-numpy python3-scipy). --check makes a missed target exit 1;
// --cpu counts the processor time of the process instead of wall time, for a machine that is busy with other things.
import { execFileSync, spawnSync } from "node:child_process";
import { existsSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { cpus, tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { evaluateInto, makeCurve, prepareCurve, prepareInverse } from "bellmouth/curve";

const args = process.argv.slice(2).filter((arg) => !arg.startsWith("--"));
const POINTS = Number(args[0] ?? 1e7);
const ROUNDS = Number(args[1] ?? 7);
const BREAKPOINTS = 128;
const check = process.argv.includes("--check");
const cpu = process.argv.includes("--cpu");

/** Milliseconds. */
const now = cpu
  ? () => {
      const { user, system } = process.cpuUsage();
      return (user + system) / 1e3;
    }
  : () => performance.now();

// --- data: seeded, the same for every contestant ------------------------------------------------------------------

function makeRandom(start) {
  let state = start >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}
const random = makeRandom(1881);
const even = Array.from({ length: BREAKPOINTS }, (_, k) => (5 * k) / (BREAKPOINTS - 1));
const steps = even.map(() => 0.2 + random() * 2);
const total = steps.slice(1).reduce((sum, step) => sum + step, 0);
const uneven = steps.map((_, k) => (5 * steps.slice(1, k + 1).reduce((sum, step) => sum + step, 0)) / total);
const law = (v) => 0.001 + 0.0005 * v ** 3.5;
const curveOf = (x, between = "straight") =>
  makeCurve({
    x: { quantity: "voltage", values: x },
    y: { quantity: "mass flow", values: x.map(law) },
    between,
    outside: "hold",
  });
const spread = Float64Array.from({ length: POINTS }, () => 5 * random() * (1 - 1e-12));
const sorted = Float64Array.from(spread).sort();
const flows = Float64Array.from(spread, (x) => 0.001 + (law(5) - 0.001) * (x / 5));
const out = new Float64Array(POINTS);

// --- contestants: prepare(x, y) returns (xs, out) => void, or a function of one point ------------------------------

const peers = fileURLToPath(new URL("peers/", import.meta.url));
if (!existsSync(join(peers, "node_modules"))) {
  execFileSync("npm", ["ci", "--silent", "--no-audit", "--no-fund"], { cwd: peers, stdio: "inherit" });
}
const library = await import("./peers/index.mjs");
const { commons, everpolate, interp1, simple } = library;

/** A loop of its own for each library, so that the engine specialises it as it would in a program that uses one. */
const loopOver = (f) =>
  new Function("f", "return (xs, out) => { for (let i = 0; i < xs.length; i++) out[i] = f(xs[i]); };")(f);
const pairs = (x, y) => x.map((v, k) => [v, y[k]]);

// `share`: part of the points that a slow contestant reads (the same first ones); nanoseconds are per point read.
const linearPeers = [
  {
    name: "commons-math-interpolation",
    share: 0.2,
    of: (x, y) => loopOver(commons.createLinearInterpolator(x, y)),
  },
  { name: "d3-scale", share: 0.2, of: (x, y) => loopOver(library.scaleLinear(x, y)) },
  { name: "polylinear-scale", share: 0.1, of: (x, y) => loopOver(library.polylinear(x, y)) },
  {
    name: "linear-interpolator",
    share: 0.05,
    of: (x, y) => loopOver(library.linearInterpolator(pairs(x, y))),
  },
  {
    name: "@thi.ng/ramp",
    share: 0.1,
    of: (x, y) => {
      const line = library.ramp(pairs(x, y));
      return loopOver((v) => line.at(v));
    },
  },
  {
    name: "everpolate (batch)",
    share: 0.1,
    plain: true,
    of: (x, y) => (xs, to) => copy(everpolate.linear(xs, x, y), to),
  },
  { name: "interp1 (batch)", share: 0.1, plain: true, of: (x, y) => (xs, to) => copy(interp1(x, y, xs), to) },
  {
    name: "simple-linear-interpolation",
    share: 0.002,
    of: (x, y) => {
      const line = simple.linearInterpolation(x.map((v, k) => ({ x: v, y: y[k] })));
      return loopOver((v) => line({ x: v }));
    },
  },
];
/** Batch libraries return an array of their own; handing it on is not counted against them. */
let handed;
const copy = (from) => {
  handed = from;
};
const cubicPeers = [
  {
    name: "@adaskothebeast/splines, monotone",
    share: 0.05,
    of: (x, y) => {
      const spline = new library.MonotoneCubicHermitInterpolation(pairs(x, y));
      return loopOver((v) => spline.interpolate(v));
    },
  },
  {
    name: "commons-math-interpolation, Akima",
    share: 0.2,
    of: (x, y) => loopOver(commons.createAkimaSplineInterpolator(x, y)),
  },
  {
    name: "cubic-spline, natural",
    share: 0.05,
    of: (x, y) => {
      const spline = new library.CubicSpline(x, y);
      return loopOver((v) => spline.at(v));
    },
  },
  {
    name: "natural-spline-interpolator",
    share: 0.05,
    of: (x, y) => loopOver(library.naturalSpline(pairs(x, y))),
  },
];
const inversePeers = [
  {
    name: "d3-scale invert",
    share: 0.2,
    of: (x, y) => {
      const scale = library.scaleLinear(x, y);
      return loopOver((v) => scale.invert(v));
    },
  },
  {
    name: "commons-math-interpolation, exchanged",
    share: 0.2,
    of: (x, y) => loopOver(commons.createLinearInterpolator(y, x)),
  },
];

const own = (prepared) => ({ name: "bellmouth", share: 1, run: (xs, to) => evaluateInto(prepared, xs, to) });
const copies = [
  { name: "copy of the array (a loop)", share: 1, run: loopOver((v) => v) },
  { name: "copy of the array (TypedArray.set)", share: 1, run: (xs, to) => to.set(xs) },
];
copies[0].run = new Function(
  "return (xs, out) => { for (let i = 0; i < xs.length; i++) out[i] = xs[i]; };",
)();

// --- measuring ----------------------------------------------------------------------------------------------------

const memory = () => {
  const { heapUsed, external } = process.memoryUsage();
  return heapUsed + external;
};

/** Every contestant in turn, round after round, so that a busy moment hits all; the best round counts. */
function race(contestants, points) {
  const entries = contestants.map((one) => {
    const count = Math.max(1000, Math.round(points.length * one.share));
    const part = points.subarray(0, count);
    return {
      ...one,
      count,
      xs: one.plain ? Array.from(part) : part,
      best: Number.POSITIVE_INFINITY,
      allocated: Number.POSITIVE_INFINITY,
    };
  });
  for (let round = 0; round < ROUNDS; round++) {
    for (const entry of entries) {
      const before = memory();
      const start = now();
      entry.run(entry.xs, out);
      entry.best = Math.min(entry.best, now() - start);
      const grown = memory() - before;
      if (grown >= 0) entry.allocated = Math.min(entry.allocated, grown);
    }
  }
  return entries.map(({ name, count, best, allocated }) => ({
    name,
    count,
    ns: (best * 1e6) / count,
    bytes: allocated / count,
  }));
}

/** Largest difference from `reference` over the first thousand points, of the range of values. */
function deviation(run, points, plain, reference) {
  const part = points.subarray(0, 1000);
  handed = undefined;
  const got = new Float64Array(1000);
  run(plain ? Array.from(part) : part, got);
  const values = handed ?? got;
  return Math.max(...Array.from(part, (_, i) => Math.abs(values[i] - reference[i]))) / (law(5) - law(0));
}

const python = (() => {
  const env = { ...process.env };
  delete env.OPENBLAS_CORETYPE;
  delete env.OPENBLAS_L2_SIZE;
  for (const name of ["/usr/bin/python3", "python3"]) {
    const found = spawnSync(name, ["-c", "import numpy; print(numpy.__version__)"], {
      env,
      encoding: "utf8",
    });
    if (found.status === 0) return { name, env, numpy: found.stdout.trim() };
  }
  return undefined;
})();
const folder = mkdtempSync(join(tmpdir(), "bellmouth-bench-"));

/** numpy.interp, or scipy's PCHIP, on the same points; undefined when python has no numpy or scipy. */
function pythonNs(kind, x, y, points) {
  if (python === undefined) return undefined;
  writeFileSync(join(folder, "points"), points);
  writeFileSync(join(folder, "curve.json"), JSON.stringify({ x, y }));
  const script = `
import json, time, sys
import numpy as np
points = np.fromfile("points"); c = json.load(open("curve.json")); x = np.array(c["x"]); y = np.array(c["y"])
if "${kind}" == "interp":
    f = lambda: np.interp(points, x, y)
else:
    from scipy.interpolate import PchipInterpolator
    p = PchipInterpolator(x, y); f = lambda: p(points)
clock = time.${cpu ? "process_time" : "perf_counter"}
best = 1e9
for _ in range(${Math.max(3, Math.ceil(ROUNDS / 2))}):
    t = clock(); f(); best = min(best, clock() - t)
print(best * 1e9 / len(points))`;
  const done = spawnSync(python.name, ["-c", script], { cwd: folder, env: python.env, encoding: "utf8" });
  return done.status === 0 ? Number(done.stdout) : undefined;
}

// --- table --------------------------------------------------------------------------------------------------------

const rows = [];
const LINEAR = 1e-9;
/** One block: bellmouth first, then everybody else, with ratios to bellmouth. */
function block(title, prepared, peersHere, x, points, { agree, numpy, extra = [] }) {
  const y = x.map(law);
  const reference = new Float64Array(1000);
  evaluateInto(prepared, points.subarray(0, 1000), reference);
  const entrants = peersHere.map((peer) => ({ ...peer, run: peer.of(x, y) }));
  if (agree) {
    for (const peer of entrants) {
      const off = deviation(peer.run, points, peer.plain, reference);
      if (!(off < LINEAR)) throw new Error(`${peer.name} reads ${title} otherwise: ${off} of the range`);
    }
  }
  const results = race([own(prepared), ...entrants, ...extra], points);
  if (numpy !== undefined) {
    const ns = numpy.inverse ? pythonNs("interp", y, x, points) : pythonNs(numpy.kind, x, y, points);
    if (ns !== undefined) {
      results.push({
        name: numpy.kind === "interp" ? `numpy.interp ${python.numpy}` : "scipy PchipInterpolator",
        count: POINTS,
        ns,
        bytes: 8,
      });
    }
  }
  const mine = results[0].ns;
  for (const one of results) rows.push({ title, ...one, ratio: one.ns / mine });
  return results;
}

const straight = { agree: true, numpy: { kind: "interp" } };
const results = {
  randomUneven: block(
    "uneven, random points",
    prepareCurve(curveOf(uneven)),
    linearPeers,
    uneven,
    spread,
    straight,
  ),
  sortedUneven: block(
    "uneven, sorted points",
    prepareCurve(curveOf(uneven)),
    linearPeers,
    uneven,
    sorted,
    straight,
  ),
  randomEven: block("even, random points", prepareCurve(curveOf(even)), linearPeers, even, spread, {
    ...straight,
    extra: copies,
  }),
  sortedEven: block("even, sorted points", prepareCurve(curveOf(even)), linearPeers, even, sorted, {
    ...straight,
    extra: copies,
  }),
  inverse: block("inverse of uneven, random", prepareInverse(curveOf(uneven)), inversePeers, uneven, flows, {
    agree: false,
    numpy: { kind: "interp", inverse: true },
  }),
  cubic: block(
    "monotone cubic, random",
    prepareCurve(curveOf(uneven, "monotone cubic")),
    cubicPeers,
    uneven,
    spread,
    {
      agree: false,
      numpy: { kind: "pchip" },
    },
  ),
  cubicInverse: block(
    "inverse of monotone cubic",
    prepareInverse(curveOf(uneven, "monotone cubic")),
    [],
    uneven,
    flows,
    { agree: false },
  ),
};

/** Slope of log time (or bytes) over log points: 1 is linear growth. */
function slope(xs, ys) {
  const [lx, ly] = [xs.map(Math.log), ys.map(Math.log)];
  const mean = (list) => list.reduce((a, b) => a + b) / list.length;
  const [mx, my] = [mean(lx), mean(ly)];
  return lx.reduce((s, x, i) => s + (x - mx) * (ly[i] - my), 0) / lx.reduce((s, x) => s + (x - mx) ** 2, 0);
}
const sizes = [1e4, 1e5, 1e6, 1e7].filter((size) => size <= POINTS);
const growth = { straight: curveOf(uneven), cubic: curveOf(uneven, "monotone cubic") };
const growthRows = Object.entries(growth).map(([name, curve]) => {
  const prepared = prepareCurve(curve);
  const runs = sizes.map((size) => {
    let seconds = Number.POSITIVE_INFINITY;
    let bytes = Number.POSITIVE_INFINITY;
    const part = spread.subarray(0, size);
    for (let r = 0; r < Math.max(ROUNDS, 3e6 / size); r++) {
      const before = memory();
      const start = now();
      evaluateInto(prepared, part, out);
      seconds = Math.min(seconds, (now() - start) / 1e3);
      const grown = memory() - before;
      if (grown >= 0) bytes = Math.min(bytes, grown);
    }
    return { seconds, bytes };
  });
  const seconds = runs.map((run) => run.seconds);
  return { name, sizes, seconds, bytes: runs.map((run) => run.bytes), slope: slope(sizes, seconds) };
});
/** Breakpoints that crowd geometrically towards one end: few buckets hold nearly all. */
const crowded = [64, 512, 4096, 32768].map((n) => {
  const x = Array.from({ length: n }, (_, k) => 5 * 1e-9 ** (1 - k / (n - 1)));
  const prepared = prepareCurve(curveOf(x));
  const points = Float64Array.from({ length: 1e5 }, () => 5 * 1e-9 ** random());
  let best = Number.POSITIVE_INFINITY;
  for (let r = 0; r < 5 * ROUNDS; r++) {
    const start = now();
    evaluateInto(prepared, points, out);
    best = Math.min(best, now() - start);
  }
  return { n, ns: (best * 1e6) / 1e5 };
});
rmSync(folder, { recursive: true });

console.log(
  `${cpus()[0].model}, ${cpus().length} CPUs, node ${process.version}${python === undefined ? ", no numpy" : ""}`,
);
console.log(
  `${BREAKPOINTS} breakpoints, ${POINTS} points, best of ${ROUNDS} rounds; slow libraries read the first part of the same points\n`,
);
const columns = [
  ["task", 27, (r) => r.title],
  ["who", 38, (r) => r.name],
  ["points read", 12, (r) => r.count],
  ["ns a point", 11, (r) => r.ns.toFixed(2)],
  ["over bellmouth", 15, (r) => r.ratio.toFixed(2)],
  ["bytes allocated a point", 24, (r) => (Number.isFinite(r.bytes) ? r.bytes.toFixed(1) : "?")],
];
const line = (cells) =>
  cells
    .map((cell, i) => (i < 2 ? String(cell).padEnd(columns[i][1]) : String(cell).padStart(columns[i][1])))
    .join(" ");
console.log(line(columns.map(([title]) => title)));
for (const row of rows) console.log(line(columns.map(([, , of]) => of(row))));

console.log(`\ngrowth over ${sizes.join(", ")} points (1 is linear):`);
for (const { name, seconds, bytes, slope: found } of growthRows) {
  const each = seconds.map((time, i) => ((time * 1e9) / sizes[i]).toFixed(2));
  console.log(
    `  ${name}: slope of time ${found.toFixed(3)}; ns a point ${each.join(", ")}; bytes a batch ${bytes.join(", ")}`,
  );
}
console.log("breakpoints crowded geometrically over nine decades, points likewise:");
for (const row of crowded) console.log(`  ${row.n} breakpoints: ${row.ns.toFixed(1)} ns a point`);

// --- targets ------------------------------------------------------------------------------------------------------

const mine = (list) => list[0].ns;
const numpyOf = (list) => list.find((one) => one.name.startsWith("numpy"))?.ns;
const peersOf = (list) =>
  list.filter((one) => linearPeers.concat(inversePeers).some((peer) => peer.name === one.name));
const targets = [
  [
    "fastest npm library over bellmouth, random points, uneven",
    Math.min(...peersOf(results.randomUneven).map((p) => p.ns)) / mine(results.randomUneven),
    ">=",
    8,
  ],
  [
    "the same, inverse",
    Math.min(...peersOf(results.inverse).map((p) => p.ns)) / mine(results.inverse),
    ">=",
    8,
  ],
  [
    "bellmouth over numpy.interp, random points, uneven",
    mine(results.randomUneven) / numpyOf(results.randomUneven),
    "<=",
    0.25,
  ],
  [
    "bellmouth over a plain copy (a loop), even, random points",
    mine(results.randomEven) / results.randomEven.find((one) => one.name.includes("loop")).ns,
    "<=",
    2,
  ],
];
console.log("");
let missed = false;
for (const [name, value, sign, limit] of targets) {
  if (Number.isNaN(value)) {
    console.log(`not measured: ${name}`);
    continue;
  }
  const met = sign === ">=" ? value >= limit : value <= limit;
  missed ||= !met;
  console.log(`${met ? "met   " : "MISSED"}: ${name} ${value.toFixed(2)} (wanted ${sign} ${limit})`);
}
if (check && missed) process.exitCode = 1;
