// Every benchmark, one after the other: `pnpm run bench`. Takes some two minutes on a quiet machine; figures of a busy one
// mean little. With `--record` what they print becomes docs/benchmarks.md.
import { spawnSync } from "node:child_process";
import { writeFileSync } from "node:fs";

const folder = new URL("./", import.meta.url).pathname;
const parts = [
  [
    "curve.bench.mjs",
    "Reading curves: 128 breakpoints, ten million points",
    `Beside every maintained interpolation package found on npm, and NumPy and SciPy. All get the same breakpoints and points; a package gets
its fastest way in, made once. "Bytes allocated" is what a point costs on the heap: \`evaluateInto\` writes into an array of the caller's
and allocates nothing; NumPy and the batch functions make a new array for each batch. A question mark: the collector ran and hid it.`,
  ],
  [
    "plan.bench.mjs",
    "Planning, and the Monte Carlo check",
    "The whole command as a process, from the demo's document to what it prints or writes; and single computations in a warm process.",
  ],
  [
    "csv/csv.mjs",
    "Reading and refining a long log",
    `A simulated drive of 1,000,000 rows and 20 columns, nine of them channels. Each run is a process of its own, in turn; loading the program is not counted
for anyone. The libraries hand out rows of text, which their contestants turn into numbers as ours are; "text" is what they
need alone for slicing the rows, with nothing read of them.`,
  ],
  [
    "browser.bench.mjs",
    "The example page: the bore moved at every frame",
    "Drawn by the processor alone; a desktop with a graphics card has more room. A drawing is all the page does for one place of the slider.",
  ],
  [
    "../../tools/check-budgets.mjs",
    "Loading and size",
    "What the gate holds to: time to import an entry over an empty process, and sizes of browser bundles.",
  ],
];
let failed = 0;
let page = `# Benchmarks

Written by \`pnpm run bench --record\`; measured on the machine named in each part, with nothing else running. Times differ between
machines, ratios less. No test depends on a time: what is asked for stands behind "wanted", and a miss says so.
`;
for (const [script, title, words] of parts) {
  console.log(`\n## ${title}\n`);
  const { status, stdout } = spawnSync(process.execPath, [`${folder}${script}`], {
    stdio: ["ignore", "pipe", "inherit"],
    encoding: "utf8",
  });
  console.log(stdout);
  page += `\n## ${title}\n\n${words}\n\n\`\`\`\n${stdout.trimEnd()}\n\`\`\`\n`;
  if (status !== 0) failed += 1;
}
if (process.argv.includes("--record"))
  writeFileSync(new URL("../../docs/benchmarks.md", import.meta.url), page);
process.exitCode = failed === 0 ? 0 : 1;
