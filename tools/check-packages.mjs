// Packs every published package and judges the tarball: exports, types and files (publint, are-the-types-wrong),
// no source or test inside, licence present.
import { execFileSync, spawnSync } from "node:child_process";
import { mkdtempSync, readdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

const root = new URL("../", import.meta.url).pathname;
const out = mkdtempSync(join(tmpdir(), "bellmouth-pack-"));
const pnpm = ["--yes", "pnpm@10.34.9"];
let failures = 0;
const say = (good, text) => {
  if (!good) failures += 1;
  console.log(`${good ? "ok  " : "FAIL"} ${text}`);
};
try {
  for (const name of ["bellmouth", "simulator", "report", "cli"]) {
    const folder = join(root, "packages", name);
    execFileSync("npx", [...pnpm, "pack", "--pack-destination", out], { cwd: folder, stdio: "pipe" });
  }
  const tarballs = readdirSync(out).filter((file) => file.endsWith(".tgz"));
  say(tarballs.length === 4, `four tarballs: ${tarballs.join(", ")}`);
  for (const file of tarballs) {
    const tarball = join(out, file);
    const inside = execFileSync("tar", ["-tzf", tarball], { encoding: "utf8" }).split("\n");
    say(
      !inside.some((path) => /(^|\/)src\/|\.test\./.test(path)),
      `${file}: no sources or tests inside (${inside.length - 1} files)`,
    );
    say(inside.includes("package/LICENSE"), `${file}: licence inside`);
    const lint = spawnSync("npx", [...pnpm, "exec", "publint", tarball, "--strict"], {
      cwd: root,
      encoding: "utf8",
    });
    say(lint.status === 0, `${file}: publint`);
    if (lint.status !== 0) console.log(lint.stdout + lint.stderr);
    // ESM only, on purpose (docs/decisions/0003-esm-only.md).
    const types = spawnSync("npx", [...pnpm, "exec", "attw", tarball, "--profile", "esm-only"], {
      cwd: root,
      encoding: "utf8",
    });
    say(types.status === 0, `${file}: are the types wrong`);
    if (types.status !== 0) console.log(types.stdout + types.stderr);
  }
} finally {
  rmSync(out, { recursive: true, force: true });
}
process.exit(failures === 0 ? 0 : 1);
