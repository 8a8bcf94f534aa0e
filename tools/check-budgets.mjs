// Size and load-time budgets of the built library, from a cold process each time:
//   import 'bellmouth'       <= 15 ms over bare node (median of 20), no mathjs, no zod
//   import 'bellmouth/stage' <= 120 ms over bare node
//   whole face               <= 18 kB minified and gzipped; rescaling alone <= 8 kB (15 and 5 before the law of short housings)
// Interleaved with bare runs, so that a busy machine slows both alike.
import { spawnSync } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { gzipSync } from "node:zlib";
import { build } from "esbuild";

const root = new URL("../", import.meta.url).pathname;
const runs = 20;
const folder = mkdtempSync(join(tmpdir(), "bellmouth-budget-"));
const dist = join(root, "packages/bellmouth/dist");
let failures = 0;
const say = (good, text) => {
  if (!good) failures += 1;
  console.log(`${good ? "ok  " : "FAIL"} ${text}`);
};
const median = (values) => [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)];
const time = (file) => {
  const started = process.hrtime.bigint();
  const run = spawnSync(process.execPath, [file], { stdio: "pipe" });
  if (run.status !== 0) throw new Error(`${file}: ${run.stderr}`);
  return Number(process.hrtime.bigint() - started) / 1e6;
};

try {
  const scripts = {
    bare: "",
    face: `import ${JSON.stringify(join(dist, "index.js"))};`,
    stage: `import ${JSON.stringify(join(dist, "stage/index.js"))};`,
  };
  const times = {};
  for (const [name, text] of Object.entries(scripts)) {
    writeFileSync(join(folder, `${name}.mjs`), text);
    times[name] = [];
    time(join(folder, `${name}.mjs`));
  }
  // A machine busy with something else slows the longer start more: a series over budget is run again, twice at most.
  const budgets = { face: 15, stage: 120 };
  for (let series = 1; ; series += 1) {
    for (const name of Object.keys(scripts)) times[name] = [];
    for (let i = 0; i < runs; i += 1) {
      for (const name of Object.keys(scripts)) times[name].push(time(join(folder, `${name}.mjs`)));
    }
    const bare = median(times.bare);
    const over = Object.keys(budgets).map((name) => [name, median(times[name]) - bare]);
    if (series < 3 && over.some(([name, value]) => value > budgets[name])) continue;
    for (const [name, value] of over) {
      say(
        value <= budgets[name],
        `import ${name}: ${value.toFixed(1)} ms over bare node's ${bare.toFixed(1)} ms (budget ${budgets[name]}, median of ${runs}, series ${series})`,
      );
    }
    break;
  }

  const size = async (text) => {
    const bundle = await build({
      stdin: { contents: text, resolveDir: dist },
      bundle: true,
      minify: true,
      format: "esm",
      platform: "neutral",
      metafile: true,
      write: false,
      logLevel: "silent",
    });
    const code = bundle.outputFiles[0].contents;
    return { code: new TextDecoder().decode(code), zipped: gzipSync(code, { level: 9 }).length };
  };
  const face = await size(`export * from "./index.js";`);
  say(face.zipped <= 18_000, `whole face: ${(face.zipped / 1000).toFixed(1)} kB gzipped (budget 18)`);
  const heavy = /petasiemens|createUnit|ZodError|_zod/.test(face.code);
  say(!heavy, "the face holds neither mathjs nor zod");
  const rescale = await size(`export { rescaleTransferCurve } from "./index.js";`);
  say(
    rescale.zipped <= 8_000,
    `rescaling alone: ${(rescale.zipped / 1000).toFixed(1)} kB gzipped (budget 8)`,
  );
} finally {
  rmSync(folder, { recursive: true, force: true });
}
process.exit(failures === 0 ? 0 : 1);
