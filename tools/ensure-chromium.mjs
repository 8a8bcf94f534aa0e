// The gate looks at pages in a real browser. Installs Debian's chromium when it is missing and says so; fails when it
// still is.
import { spawnSync } from "node:child_process";
import { existsSync } from "node:fs";

const path = "/usr/bin/chromium";
const run = (...command) =>
  spawnSync(command[0], command.slice(1), {
    stdio: "inherit",
    env: { ...process.env, DEBIAN_FRONTEND: "noninteractive" },
  });
if (!existsSync(path)) {
  console.log("chromium is missing: installing Debian's package");
  run("apt-get", "update", "-qq");
  run("apt-get", "install", "-y", "-qq", "--no-install-recommends", "chromium");
}
if (!existsSync(path)) {
  console.error("chromium could not be installed: the browser tests cannot run");
  process.exit(1);
}
console.log(spawnSync(path, ["--version"], { encoding: "utf8" }).stdout.trim());
