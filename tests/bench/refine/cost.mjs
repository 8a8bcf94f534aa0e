// Time to refine a drive of fifteen minutes on tables of 16 to 512 cells, beside the library of another tree, taking turns in one process.
//   node tests/bench/refine/cost.mjs --library DIR [--rounds 3] [--cells 16,40,64,256]
import { mkdirSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { parseArgs } from "node:util";
import { bundled } from "./bundled.mjs";

const { values } = parseArgs({
  options: {
    library: { type: "string" },
    rounds: { type: "string", default: "3" },
    cells: { type: "string", default: "16,24,40,64,128,256,512" },
  },
});
const folder = mkdtempSync(join(tmpdir(), "refine-cost-"));
process.on("exit", () => rmSync(folder, { recursive: true, force: true }));
const load = async (name, library) => {
  const own = join(folder, name);
  mkdirSync(own);
  return import(pathToFileURL(await bundled("cost-case.ts", own, library)).href);
};
const now = await load("now");
const then = values.library === undefined ? undefined : await load("then", resolve(values.library));

const least = (list) => list.reduce((a, b) => Math.min(a, b));
const times = [];
console.log("| cells | s, least | s before, least | over before |");
console.log("| ---: | ---: | ---: | ---: |");
for (const cells of values.cells.split(",").map(Number)) {
  const runs = [now.costCase(cells), then?.costCase(cells)];
  const seconds = [[], []];
  // A round to warm up, then turns; above 200 cells a run is long enough by itself.
  const rounds = cells > 200 ? Math.min(2, Number(values.rounds)) : Number(values.rounds);
  for (let round = cells > 200 ? 1 : 0; round <= rounds; round++) {
    runs.forEach((run, k) => {
      const took = run?.();
      if (took !== undefined && (round > 0 || cells > 200)) seconds[k].push(took);
    });
  }
  const [mine, before] = [least(seconds[0]), seconds[1].length === 0 ? Number.NaN : least(seconds[1])];
  times.push({ cells, mine });
  console.log(`| ${cells} | ${mine.toFixed(2)} | ${before.toFixed(2)} | ${(mine / before).toFixed(2)} |`);
}
const [a, b] = [times.find(({ cells }) => cells === 64), times.at(-1)];
if (a !== undefined && b !== undefined && b.cells > 64) {
  const power = Math.log(b.mine / a.mine) / Math.log(b.cells / a.cells);
  console.log(`\nfrom ${a.cells} to ${b.cells} cells the time grows as cells^${power.toFixed(2)}`);
}
