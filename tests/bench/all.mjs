// Every benchmark, one after the other: `pnpm run bench`. Takes some minutes on a quiet machine; figures of a busy one
// mean little. Results are recorded in docs/benchmarks.md with the machine they were measured on.
import { spawnSync } from "node:child_process";

const folder = new URL("./", import.meta.url).pathname;
let failed = 0;
for (const script of ["curve.bench.mjs", "plan.bench.mjs", "csv/csv.mjs"]) {
  console.log(`\n## ${script}\n`);
  const { status } = spawnSync(process.execPath, [`${folder}${script}`], { stdio: "inherit" });
  if (status !== 0) failed += 1;
}
process.exitCode = failed === 0 ? 0 : 1;
