// Scores the refinement over simulated cars; what is counted and asked stands in README.md beside this.
//   node tests/bench/refine/score.mjs                  the held-out set; writes tests/bench/scores/refine.json. Not to be run while developing.
//   node tests/bench/refine/score.mjs --development    other cars, a small number of each (about four minutes); writes nothing
//   options: --each N (cars of each family, trouble and table size), --group TEXT (groups whose name holds it), --workers N (1),
//            --library DIR (the library of another tree), --landed (writes the figures to landed.json beside this, as what was there before)
//            --cases FILE (every case's figures, one a line; development only)
//            --store FILE (keeps scored cases, so that a run can be stopped and carried on), --seconds N (stops after so long; with --store)
import { spawn } from "node:child_process";
import { appendFileSync, existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { parseArgs } from "node:util";
import { bundled } from "./bundled.mjs";

const { values } = parseArgs({
  options: {
    development: { type: "boolean", default: false },
    landed: { type: "boolean", default: false },
    each: { type: "string" },
    group: { type: "string" },
    library: { type: "string" },
    cases: { type: "string" },
    store: { type: "string" },
    seconds: { type: "string", default: "1e9" },
    workers: { type: "string", default: "1" },
  },
});
const set = values.development ? "development" : "held-out";
if (values.cases !== undefined && set === "held-out") {
  console.error("held-out cases are shown in total only; use --development");
  process.exit(2);
}
const folder = mkdtempSync(join(tmpdir(), "refine-score-"));
process.on("exit", () => rmSync(folder, { recursive: true, force: true }));
const library = values.library === undefined ? undefined : resolve(values.library);
const load = async (name) => import(pathToFileURL(await bundled(name, folder, library)).href);

const worker = await bundled("worker.ts", folder, library);
const { scoreCases } = await load("cases.ts");
const { specialCases } = await load("special.ts");
const { figuresByGroup } = await load("figures.ts");
const { accuracyRows, groupTable } = await load("rows.ts");
const { specialRows } = await load("special-rows.ts");

const each = values.each === undefined ? undefined : Number(values.each);
const counts =
  set === "held-out"
    ? { clean: each ?? 5, trouble: each ?? 8, table: each ?? 8, special: each ?? 6 }
    : { clean: each ?? 2, trouble: each ?? 3, table: each ?? 2, special: each ?? 1 };
const wanted = (name) => values.group === undefined || name.includes(values.group);
const cases = [
  ...scoreCases(set, counts).filter((one) => wanted(one.group)),
  ...specialCases(set, counts.special).filter((one) => wanted(one.special)),
];

/** Runs the cases on workers; the order of arrival depends on the machine, the result must not. */
async function scored() {
  const scores = stored();
  const left = cases.map((_, i) => i).filter((i) => !scores.has(i));
  const until = Date.now() + 1e3 * Number(values.seconds);
  const one = () =>
    new Promise((done, fail) => {
      const child = spawn(process.execPath, [worker], { stdio: ["pipe", "pipe", "inherit"] });
      let current = -1;
      const feed = () => {
        current = Date.now() < until ? (left.shift() ?? -1) : -1;
        if (current >= 0) child.stdin.write(`${JSON.stringify(cases[current])}\n`);
        else child.stdin.end();
      };
      let rest = "";
      child.stdout.on("data", (chunk) => {
        rest += chunk;
        for (let end = rest.indexOf("\n"); end >= 0; end = rest.indexOf("\n")) {
          const score = JSON.parse(rest.slice(0, end));
          scores.set(current, score);
          if (values.store !== undefined) {
            appendFileSync(
              values.store,
              `${JSON.stringify({ key: JSON.stringify(cases[current]), score })}\n`,
            );
          }
          rest = rest.slice(end + 1);
          if (process.stderr.isTTY) process.stderr.write(`\r${scores.size}/${cases.length}`);
          feed();
        }
      });
      child.on("exit", (code) => {
        if (code === 0) done();
        else fail(new Error(`a worker ended with code ${code} at ${JSON.stringify(cases[current])}`));
      });
      feed();
    });
  await Promise.all(Array.from({ length: Number(values.workers) }, one));
  if (left.length > 0) {
    console.log(`${left.length} of ${cases.length} cases left`);
    process.exit(3);
  }
  return cases.map((_, i) => scores.get(i));
}

/** Cases that an earlier run scored, by their number. */
function stored() {
  if (values.store === undefined || !existsSync(values.store)) return new Map();
  const lines = readFileSync(values.store, "utf8")
    .trimEnd()
    .split("\n")
    .filter((line) => line !== "");
  const byKey = new Map(lines.map((line) => JSON.parse(line)).map(({ key, score }) => [key, score]));
  return new Map(
    cases.flatMap((one, i) => (byKey.has(JSON.stringify(one)) ? [[i, byKey.get(JSON.stringify(one))]] : [])),
  );
}

const started = Date.now();
const scores = await scored();
const special = scores.filter((score) => "special" in score);
const now = figuresByGroup(scores.filter((score) => "cells" in score));
const landedFile = new URL("landed.json", import.meta.url);
if (values.cases !== undefined) {
  writeFileSync(values.cases, scores.map((score) => `${JSON.stringify(score)}\n`).join(""));
}
console.log(groupTable(now));

const landed = () => {
  try {
    return JSON.parse(readFileSync(landedFile, "utf8"));
  } catch {
    return {};
  }
};
if (values.landed) {
  const short = (_, value) => (typeof value === "number" ? Number(value.toPrecision(4)) : value);
  writeFileSync(landedFile, `${JSON.stringify({ ...landed(), [set]: { counts, groups: now } }, short, 2)}\n`);
  console.log("wrote tests/bench/refine/landed.json");
} else {
  const before = landed()[set];
  const same = before !== undefined && JSON.stringify(before.counts) === JSON.stringify(counts);
  const rows = [...accuracyRows(now, same ? before.groups : {}), ...specialRows(special)];
  for (const row of rows) {
    const missed = row.measured <= row.limit ? "  " : "! ";
    console.log(
      `${missed}${row.what}: ${Number(row.measured.toPrecision(3))}, asked ${Number(row.limit.toPrecision(3))} ${row.unit}`,
    );
  }
  if (set === "held-out" && values.group === undefined && library === undefined) {
    writeFileSync(
      new URL("../scores/refine.json", import.meta.url),
      `${JSON.stringify(
        rows.filter((row) => Number.isFinite(row.measured)),
        null,
        2,
      )}\n`,
    );
    console.log("wrote tests/bench/scores/refine.json");
  }
}
console.log(`${scores.length} cases of the ${set} set in ${((Date.now() - started) / 1e3).toFixed(0)} s`);
