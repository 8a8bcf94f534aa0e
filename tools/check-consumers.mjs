// A stranger's project: installs the four packed tarballs, compiles tests/consumers/template under three ways of module
// resolution with every strict option and without skipLibCheck, runs it, bundles it for the browser, runs the
// command, and makes sure that deep paths are closed. Newer syntax than Node 20 has is ruled out by parsing as ES2023.
import { execFileSync, spawnSync } from "node:child_process";
import { cpSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { build, transformSync } from "esbuild";

const root = new URL("../", import.meta.url).pathname;
const home = mkdtempSync(join(tmpdir(), "bellmouth-consumer-"));
let failures = 0;
const say = (good, text, detail = "") => {
  if (!good) failures += 1;
  console.log(`${good ? "ok  " : "FAIL"} ${text}${good ? "" : `\n${detail}`}`);
};
const run = (command, args) => spawnSync(command, args, { cwd: home, encoding: "utf8" });

try {
  const packed = join(home, "packed");
  mkdirSync(packed);
  for (const name of ["bellmouth", "simulator", "report", "cli"]) {
    execFileSync("npx", ["--yes", "pnpm@10.34.9", "pack", "--pack-destination", packed], {
      cwd: join(root, "packages", name),
      stdio: "pipe",
    });
  }
  const tarballs = readdirSync(packed).map((file) => join(packed, file));
  writeFileSync(
    join(home, "package.json"),
    JSON.stringify({ name: "stranger", private: true, type: "module" }),
  );
  const install = run("npm", ["install", "--no-audit", "--no-fund", ...tarballs]);
  say(install.status === 0, "the four tarballs install together", install.stdout + install.stderr);
  const installed = readdirSync(join(home, "node_modules")).filter((name) => !name.startsWith("."));
  say(
    // zod: the declarations of results and documents are inferred from its schemas.
    installed.every((name) => ["bellmouth", "@bellmouth", "zod"].includes(name)),
    `nothing but zod is installed with them (${installed.join(", ")})`,
  );
  cpSync(join(root, "tests/consumers/template"), home, { recursive: true });

  const tsc = join(root, "node_modules/typescript/bin/tsc");
  for (const [module, moduleResolution] of [
    ["ESNext", "bundler"],
    ["Node16", "node16"],
    ["NodeNext", "nodenext"],
  ]) {
    const options = {
      compilerOptions: {
        module,
        moduleResolution,
        target: "ES2022",
        lib: ["ES2023", "DOM"],
        strict: true,
        exactOptionalPropertyTypes: true,
        noUncheckedIndexedAccess: true,
        skipLibCheck: false,
        types: [],
        outDir: `out-${moduleResolution}`,
      },
      files: ["use.ts"],
    };
    writeFileSync(join(home, "tsconfig.json"), JSON.stringify(options));
    const compiled = run(process.execPath, [tsc, "-p", "."]);
    say(compiled.status === 0, `compiles under ${moduleResolution}`, compiled.stdout);
    const ran = run(process.execPath, [`out-${moduleResolution}/use.js`]);
    const result = ran.status === 0 ? JSON.parse(ran.stdout) : undefined;
    say(
      result?.flow === 210 && result.same === true && result.rooms.every((full) => full === true),
      `runs as compiled under ${moduleResolution}`,
      ran.stdout + ran.stderr,
    );
  }

  const bundled = await build({
    stdin: { contents: `import * as b from "bellmouth"; globalThis.b = b;`, resolveDir: home },
    bundle: true,
    platform: "browser",
    format: "iife",
    write: false,
    logLevel: "silent",
  }).catch((error) => error);
  say(bundled.outputFiles?.length === 1, "the face bundles for the browser", String(bundled));

  const deep = run(process.execPath, [
    "-e",
    `import("bellmouth/dist/index.js").then(() => process.exit(0), (e) => { console.log(e.code); process.exit(9) })`,
  ]);
  say(
    deep.status === 9 && /ERR_PACKAGE_PATH_NOT_EXPORTED/.test(deep.stdout),
    "deep paths are closed",
    deep.stdout,
  );

  const files = execFileSync("find", [join(home, "node_modules"), "-name", "*.js", "-path", "*dist*"], {
    encoding: "utf8",
  })
    .trim()
    .split("\n");
  for (const file of files) transformSync(readFileSync(file, "utf8"), { target: "node20", loader: "js" });
  say(files.length > 0, `${files.length} built files parse as Node 20 syntax`);

  const command = run(join(home, "node_modules/.bin/bellmouth"), ["--help"]);
  say(
    command.status === 0 && command.stdout.includes("plan"),
    "the command answers",
    command.stdout + command.stderr,
  );
} finally {
  rmSync(home, { recursive: true, force: true });
}
process.exit(failures === 0 ? 0 : 1);
