// Runs every script in examples/ as a user would, against the built packages. A script that fails, prints nothing or leaves
// files in the tree fails the check.
import { spawnSync } from "node:child_process";
import { readdirSync } from "node:fs";

const folder = new URL("../examples/", import.meta.url);
const scripts = readdirSync(folder)
  .filter((name) => name.endsWith(".mjs"))
  .sort();
if (scripts.length === 0) throw new Error("no examples found");
let failures = 0;
for (const script of scripts) {
  const run = spawnSync(process.execPath, [script], { cwd: folder, encoding: "utf8", timeout: 120_000 });
  const good = run.status === 0 && run.stdout.trim() !== "";
  if (!good) failures += 1;
  console.log(`${good ? "ok  " : "FAIL"} examples/${script}`);
  if (!good) console.log(`${run.stdout}\n${run.stderr}`);
}
const left = spawnSync("git", ["status", "--porcelain", "--", "examples"], {
  encoding: "utf8",
}).stdout.trim();
if (process.env.CI === "true" && left !== "") {
  console.log(`FAIL examples left files behind:\n${left}`);
  failures += 1;
}
process.exit(failures === 0 ? 0 : 1);
