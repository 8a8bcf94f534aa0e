// Reads a log of 1,000,000 rows and 20 columns, and refines from it, beside CSV libraries that only parse it.
//   node tests/bench/csv/csv.mjs            5 rounds
//   node tests/bench/csv/csv.mjs --rounds 1
// Every run is a process of its own, in turn, so that neither heap nor load of the machine favours one.
import { spawnSync } from "node:child_process";
import { mkdtempSync, rmSync, statSync, writeFileSync } from "node:fs";
import { cpus, tmpdir, totalmem } from "node:os";
import { join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { parseArgs } from "node:util";
import { build } from "esbuild";

const { values } = parseArgs({
  options: { rounds: { type: "string", default: "5" } },
});
const root = fileURLToPath(new URL("../../../", import.meta.url));
const folder = mkdtempSync(join(tmpdir(), "csv-bench-"));
process.on("exit", () => rmSync(folder, { recursive: true, force: true }));

const bundled = async (name) => {
  const outfile = join(folder, name.replace(/\.ts$/, ".mjs"));
  await build({
    entryPoints: [fileURLToPath(new URL(name, import.meta.url))],
    outfile,
    bundle: true,
    minify: true,
    platform: "node",
    format: "esm",
    logLevel: "error",
    absWorkingDir: root,
    // Sources, not builds: the score is of what stands in the tree.
    plugins: [
      {
        name: "sources",
        setup({ onResolve }) {
          onResolve({ filter: /^bellmouth(\/.*)?$/ }, ({ path }) => ({
            path: join(root, "packages/bellmouth/src", path.slice("bellmouth".length), "index.ts"),
          }));
          onResolve({ filter: /^@bellmouth\/simulator$/ }, () => ({
            path: join(root, "packages/simulator/src/index.ts"),
          }));
        },
      },
    ],
  });
  return outfile;
};
const [maker, contestant] = await Promise.all(["make-log.ts", "contestant.ts"].map(bundled));
const { makeLog } = await import(pathToFileURL(maker).href);
const { contestantNames } = await import(pathToFileURL(contestant).href);

const log = join(folder, "log.csv");
const made = makeLog(log);
writeFileSync(join(folder, "made.json"), JSON.stringify(made));
const megabytes = statSync(log).size / 1e6;
console.log(
  `${made.rows} rows x ${made.columns} columns, ${megabytes.toFixed(0)} MB; ${cpus()[0]?.model ?? "?"}, ` +
    `${cpus().length} cores, ${(totalmem() / 2 ** 30).toFixed(0)} GB, Node ${process.version}\n`,
);

const results = new Map(contestantNames.map((name) => [name, []]));
for (let round = 0; round < Number(values.rounds); round++) {
  for (const name of contestantNames) {
    const run = spawnSync(process.execPath, [contestant, name, log, join(folder, "made.json")], {
      encoding: "utf8",
      timeout: 600_000,
    });
    if (run.status !== 0) throw new Error(`${name}: ${run.stderr}`);
    const result = JSON.parse(run.stdout);
    if (name !== "nothing" && result.rows !== made.rows)
      throw new Error(`${name}: ${result.rows} rows of ${made.rows}`);
    results.get(name).push(result);
  }
}
const best = (name) => Math.min(...results.get(name).map(({ seconds }) => seconds));
const middle = (numbers) => numbers.sort((a, b) => a - b)[numbers.length >> 1];
const peak = (name) => middle(results.get(name).map((one) => one.peak));
const bare = peak("nothing");

console.log("| | s, best | s, median | processor s, best | MB/s | peak MB above bare node |");
console.log("| --- | ---: | ---: | ---: | ---: | ---: |");
for (const name of contestantNames.filter((one) => one !== "nothing")) {
  const median = middle(results.get(name).map(({ seconds }) => seconds));
  const cells = [
    best(name).toFixed(2),
    median.toFixed(2),
    Math.min(...results.get(name).map(({ cpu }) => cpu)).toFixed(2),
    (megabytes / best(name)).toFixed(0),
    (peak(name) - bare).toFixed(0),
  ];
  console.log(`| ${name} | ${cells.join(" | ")} |`);
}
const libraries = contestantNames.filter((name) => /^(udsv|papaparse).*numbers/.test(name));
const fastest = libraries.reduce((a, b) => (best(b) < best(a) ? b : a));
const refined = "bellmouth, channels and refinement";
const rows = [
  [
    "time to read a log of 1,000,000 rows and 20 columns into channels, over the fastest library's",
    best("bellmouth, channels") / best(fastest),
    1,
    "ratio of best times",
  ],
  [
    "time to read that log and refine from it, over the fastest library's",
    best(refined) / best(fastest),
    1.4,
    "ratio of best times",
  ],
  ["peak memory of reading and refining, above an empty process", peak(refined) - bare, 150, "MB"],
];
console.log();
for (const [what, measured, limit, unit] of rows)
  console.log(
    `${measured <= limit ? "met   " : "MISSED"}: ${what} ${measured.toPrecision(3)} ${unit} (wanted <= ${limit})`,
  );
