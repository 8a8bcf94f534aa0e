// Scores the refinement against the common practice and against an oracle over many simulated drives.
//   node tests/bench/refine/score.mjs                 held-out cars, 24 seeds a family; writes tests/bench/scores/refine.json
//   node tests/bench/refine/score.mjs --development   development cars, 8 seeds a family; writes nothing
//   node tests/bench/refine/score.mjs --drawn         cars drawn at random, for development too; writes nothing
//   options: --seeds N (a family and a special question), --first N (first seed), --workers N (default 2),
//            --family "no pulls" (that one only), --special leak (that question only)
import { spawn } from "node:child_process";
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { parseArgs } from "node:util";
import { build } from "esbuild";

const { values } = parseArgs({
  options: {
    development: { type: "boolean", default: false },
    drawn: { type: "boolean", default: false },
    seeds: { type: "string" },
    first: { type: "string", default: "1" },
    family: { type: "string" },
    special: { type: "string" },
    workers: { type: "string", default: "2" },
  },
});
const set = values.drawn ? "drawn" : values.development ? "development" : "held-out";
const root = fileURLToPath(new URL("../../../", import.meta.url));
const folder = mkdtempSync(join(tmpdir(), "refine-score-"));
process.on("exit", () => rmSync(folder, { recursive: true, force: true }));

const bundled = async (name) => {
  const outfile = join(folder, name.replace(/\.ts$/, ".mjs"));
  await build({
    entryPoints: [fileURLToPath(new URL(name, import.meta.url))],
    outfile,
    bundle: true,
    platform: "node",
    format: "esm",
    logLevel: "error",
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
    absWorkingDir: root,
  });
  return outfile;
};

const [workerFile, casesFile, specialFile, rowsFile, specialRowsFile] = await Promise.all(
  ["worker.ts", "cases.ts", "special.ts", "rows.ts", "special-rows.ts"].map(bundled),
);
const { scoreCases, carNames } = await import(pathToFileURL(casesFile).href);
const { specialCases } = await import(pathToFileURL(specialFile).href);
const { familyTable, accuracyRows } = await import(pathToFileURL(rowsFile).href);
const { specialRows } = await import(pathToFileURL(specialRowsFile).href);

const seeds = Number(values.seeds ?? (set === "held-out" ? 24 : 8));
const whole = values.family === undefined && values.special === undefined;
const first = Number(values.first);
const cases = [
  ...scoreCases(set, seeds, first).filter((one) => whole || one.family === values.family),
  ...specialCases(carNames(set), seeds, first).filter((one) => whole || one.special === values.special),
];
const scores = [];
const started = Date.now();
let next = 0;
await Promise.all(
  Array.from(
    { length: Number(values.workers) },
    () =>
      new Promise((done, fail) => {
        const child = spawn(process.execPath, [workerFile], { stdio: ["pipe", "pipe", "inherit"] });
        const feed = () => {
          if (next < cases.length) child.stdin.write(`${JSON.stringify(cases[next++])}\n`);
          else child.stdin.end();
        };
        let rest = "";
        child.stdout.on("data", (chunk) => {
          rest += chunk;
          for (let end = rest.indexOf("\n"); end >= 0; end = rest.indexOf("\n")) {
            scores.push(JSON.parse(rest.slice(0, end)));
            rest = rest.slice(end + 1);
            if (process.stderr.isTTY) process.stderr.write(`\r${scores.length}/${cases.length}`);
            feed();
          }
        });
        child.on("exit", (code) =>
          code === 0 ? done() : fail(new Error(`a worker ended with code ${code}`)),
        );
        feed();
      }),
  ),
);
if (process.stderr.isTTY) process.stderr.write("\r");
// Order of arrival depends on the machine; the result must not.
scores.sort((a, b) => a.seed - b.seed);
const families = scores.filter((score) => "family" in score);
const special = scores.filter((score) => "special" in score);
if (families.length > 0) console.log(`${familyTable(families)}\n`);
const rows = [...(families.length > 0 ? accuracyRows(families) : []), ...specialRows(special)];
for (const row of rows) {
  const missed = row.measured <= row.limit ? "  " : "! ";
  console.log(`${missed}${row.what}: ${Number(row.measured.toPrecision(3))}, asked ${row.limit} ${row.unit}`);
}
console.log(`${scores.length} cases of the ${set} cars in ${((Date.now() - started) / 1e3).toFixed(0)} s`);
if (set === "held-out" && whole) {
  const target = new URL("../scores/refine.json", import.meta.url);
  mkdirSync(new URL(".", target), { recursive: true });
  writeFileSync(target, `${JSON.stringify(rows, null, 2)}\n`);
  console.log("wrote tests/bench/scores/refine.json");
}
