// The plan from document to files, as a process; and the Monte Carlo of a rescale, 10,000 draws on 128 cells.
// Run: npm run build, then: node tests/bench/plan.bench.mjs [rounds]
import { spawnSync } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { cpus, tmpdir } from "node:os";
import { join } from "node:path";
import { seededRandom } from "bellmouth/fit";
import { makeTransferCurve, monteCarloRescale, rescaleTransferCurve } from "bellmouth/sensor";
import { kelvins, mm, mm2 } from "bellmouth/units";

const ROUNDS = Number(process.argv[2] ?? 15);
const root = new URL("../../", import.meta.url).pathname;
const median = (values) => [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)];
const time = (work) => {
  const started = performance.now();
  work();
  return performance.now() - started;
};
const row = (name, values, wanted) =>
  console.log(
    `| ${name} | ${median(values).toFixed(1)} | ${Math.min(...values).toFixed(1)} | ${Math.max(...values).toFixed(1)} | ${wanted} |`,
  );

console.log(
  `${cpus()[0]?.model.trim()}, ${cpus().length} cores, node ${process.version}; ${ROUNDS} rounds\n`,
);
console.log("| what | median, ms | least | most | wanted |\n| --- | ---: | ---: | ---: | --- |");

const folder = mkdtempSync(join(tmpdir(), "bellmouth-bench-"));
try {
  const run = (...words) => {
    const done = spawnSync(process.execPath, words, { cwd: root, stdio: "ignore" });
    if (done.status !== 0) throw new Error(`${words.join(" ")} ended with ${done.status}`);
  };
  const rounds = Array.from({ length: ROUNDS }, (_, i) => i);
  run("packages/cli/bin/bellmouth.mjs", "plan", "examples/demo/swap.yaml");
  row(
    "bare node",
    rounds.map(() => time(() => run("-e", "0"))),
    "",
  );
  row(
    "plan of the demo, printed",
    rounds.map(() => time(() => run("packages/cli/bin/bellmouth.mjs", "plan", "examples/demo/swap.yaml"))),
    "500",
  );
  row(
    "plan of the demo, document to files and page",
    rounds.map((i) =>
      time(() =>
        run(
          "packages/cli/bin/bellmouth.mjs",
          "plan",
          "examples/demo/swap.yaml",
          "--out",
          join(folder, `plan-${i}`),
        ),
      ),
    ),
    "",
  );
} finally {
  rmSync(folder, { recursive: true, force: true });
}

const housing = (bore) => ({
  section: { shape: "round", bore: { value: mm(bore), u: mm(0.1) } },
  blockage: { value: mm2(310), u: mm2(20) },
  element: { from: 0, to: 0.3 },
  run: { value: mm(45), u: mm(10) },
  upstream: "bellmouth",
  step: mm(0),
});
const curve = makeTransferCurve({
  signal: "frequency",
  outside: "hold",
  cells: Array.from({ length: 128 }, (_, i) => {
    const signal = 1500 + 80 * i;
    return {
      signal,
      flow: 1.2e-10 * (signal - 980) ** 2.3,
      origin: "measured",
      budget: { element: 0.02 },
      flags: [],
    };
  }),
});
const swap = { from: housing(74), to: housing(86), air: { temperature: kelvins(293.15) } };
monteCarloRescale(curve, swap, { random: seededRandom(1), draws: 10_000 });
row(
  "Monte Carlo, 10,000 draws on 128 cells, warm",
  Array.from({ length: ROUNDS }, (_, i) =>
    time(() => monteCarloRescale(curve, swap, { random: seededRandom(i + 2), draws: 10_000 })),
  ),
  "150",
);
row(
  "rescale of 128 cells, warm",
  Array.from({ length: ROUNDS }, () => time(() => rescaleTransferCurve(curve, swap))),
  "",
);
