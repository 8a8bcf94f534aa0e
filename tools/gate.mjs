// Runs every check of the gate, in order, goes on after a failure, and ends with "N passed, N failed":
// the tests of `npm test` one by one, and each other check as one.
import { spawnSync } from "node:child_process";
import { existsSync, readFileSync, rmSync } from "node:fs";
import { cpus } from "node:os";
import { checks } from "./gate-checks.mjs";

const root = new URL("../", import.meta.url);
// Not beside the accuracy rows, and where git does not look.
const report = new URL("node_modules/.cache/gate-tests.json", root);
rmSync(new URL(".accuracy/", root), { recursive: true, force: true });
// An old count must not stand in for a run that did not get as far as counting.
rmSync(report, { force: true });

let passed = 0;
let failed = 0;
const lines = [];
console.log(`gate: node ${process.version}, ${cpus().length} cores`);

for (const { name, command, countsTests, environment } of checks) {
  const started = Date.now();
  console.log(`\n== ${name}: ${command.join(" ")}`);
  const { status } = spawnSync(command[0], command.slice(1), {
    cwd: root,
    stdio: ["ignore", "inherit", "inherit"],
    env: {
      ...process.env,
      BELLMOUTH_BROWSER: "required",
      ...environment,
      ...(countsTests ? { VITEST_JSON: report.pathname } : {}),
    },
  });
  const seconds = ((Date.now() - started) / 1000).toFixed(1);
  if (countsTests) {
    const counts = existsSync(report)
      ? JSON.parse(readFileSync(report, "utf8"))
      : { numPassedTests: 0, numFailedTests: 1, numTotalTestSuites: 0 };
    passed += counts.numPassedTests;
    failed += counts.numFailedTests;
    // A suite that fails to load has no failed test of its own; the exit status still counts as one failure.
    if (status !== 0 && counts.numFailedTests === 0) failed += 1;
    if (counts.numPassedTests === 0) failed += 1;
    lines.push(`${status === 0 ? "ok  " : "FAIL"} ${name} (${counts.numPassedTests} tests, ${seconds} s)`);
  } else {
    if (status === 0) passed += 1;
    else failed += 1;
    lines.push(`${status === 0 ? "ok  " : "FAIL"} ${name} (${seconds} s)`);
  }
}
console.log(`\n${lines.join("\n")}\n`);
console.log(`${passed} passed, ${failed} failed`);
process.exit(failed === 0 ? 0 : 1);
