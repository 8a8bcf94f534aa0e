// Runs a command with what it prints in a file; only when it fails, the end of that is shown.
//   node tools/quiet.mjs FILE [NAME=VALUE ...] COMMAND [ARGUMENT ...]
import { spawnSync } from "node:child_process";
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { dirname } from "node:path";

const [file, ...words] = process.argv.slice(2);
const first = words.findIndex((word) => !/^\w+=/.test(word));
const environment = Object.fromEntries(words.slice(0, first).map((word) => word.split("=", 2)));
const [command, ...rest] = words.slice(first);
const SHOWN = 60;
mkdirSync(dirname(file), { recursive: true });
const ran = spawnSync(command, rest, {
  encoding: "utf8",
  maxBuffer: 1 << 28,
  env: { ...process.env, ...environment },
  // Where commands are scripts of the shell.
  shell: process.platform === "win32",
});
const printed = `${ran.stdout ?? ""}${ran.stderr ?? ""}${ran.error === undefined ? "" : `${ran.error}\n`}`;
writeFileSync(file, printed);
if (ran.status !== 0) {
  console.error(readFileSync(file, "utf8").split("\n").slice(-SHOWN).join("\n"));
  console.error(`'${[command, ...rest].join(" ")}' failed; all of what it printed is in ${file}`);
}
process.exit(ran.status ?? 1);
