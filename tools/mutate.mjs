// Mutation testing: changes the source of a room in small ways, a sample with a fixed seed, and runs the room's tests
// against each change. A change that no test notices is a survivor: look at it.
//
//   node tools/mutate.mjs curve 30 [seed]        room, number of mutants, seed
//
// docs/mutation.md says what was found.
import { spawnSync } from "node:child_process";
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { mutantsOf } from "./mutation/mutants.mjs";

const root = fileURLToPath(new URL("../", import.meta.url));
const TESTS = {
  curve: [
    "packages/bellmouth/src/curve",
    "tests/property/curve",
    "tests/conformance/curve",
    "tests/conformance/demo-curve",
  ],
  sensor: [
    "packages/bellmouth/src/sensor",
    "tests/property/rescale",
    "tests/property/law",
    "tests/property/thermistor",
    "tests/conformance/profile",
    "tests/conformance/thermistor",
    "tests/conformance/transfer-law",
    "tests/conformance/uncertainty",
    "tests/conformance/headroom",
  ],
  drive: [
    "packages/bellmouth/src/drive",
    "tests/property/drive-log",
    "tests/property/refine",
    "tests/bad-input/logs",
    "tests/conformance/drive",
    "tests/conformance/refine",
    "tests/end-to-end/refine",
  ],
};

const [room = "", count = "30", seed = "1"] = process.argv.slice(2);
const tests = TESTS[room];
if (tests === undefined) {
  console.error(`usage: node tools/mutate.mjs ${Object.keys(TESTS).join("|")} [count] [seed]`);
  process.exit(2);
}

const folder = join(root, "packages/bellmouth/src", room);
const files = readdirSync(folder, { recursive: true })
  .filter((name) => name.endsWith(".ts") && !name.endsWith(".test.ts") && !name.endsWith("index.ts"))
  .sort();
const all = files.flatMap((name) => {
  const path = join(folder, name);
  const text = readFileSync(path, "utf8");
  return mutantsOf(text, path).map((mutant) => ({ ...mutant, name: `${room}/${name}`, path, text }));
});

// mulberry32: small, and the same everywhere.
let state = Number(seed) >>> 0;
const random = () => {
  state = (state + 0x6d2b79f5) >>> 0;
  let t = Math.imul(state ^ (state >>> 15), 1 | state);
  t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
  return ((t ^ (t >>> 14)) >>> 0) / 2 ** 32;
};
const sample = [];
const left = [...all];
while (sample.length < Number(count) && left.length > 0) {
  sample.push(...left.splice(Math.floor(random() * left.length), 1));
}

const temporary = mkdtempSync(join(tmpdir(), "mutants-"));
const vitest = (environment, timeout) => {
  const started = Date.now();
  const { status, signal } = spawnSync(
    process.execPath,
    [
      "node_modules/vitest/vitest.mjs",
      "run",
      "--config",
      "tools/mutation/vitest.config.ts",
      "--bail",
      "1",
      ...tests,
    ],
    { cwd: root, env: { ...process.env, ...environment }, stdio: "ignore", timeout, killSignal: "SIGKILL" },
  );
  return { passed: status === 0, ended: signal === null, seconds: (Date.now() - started) / 1000 };
};

try {
  const unchanged = vitest({}, 600_000);
  if (!unchanged.passed) throw new Error("the tests fail without any change");
  console.log(
    `${room}: ${all.length} mutants in ${files.length} files, ${sample.length} sampled with seed ${seed}`,
  );
  console.log(`tests without a change: ${unchanged.seconds.toFixed(0)} s`);
  const results = { killed: 0, endless: 0, survived: 0 };
  for (const mutant of sample) {
    const source = join(temporary, "mutant.ts");
    writeFileSync(source, mutant.text.slice(0, mutant.start) + mutant.put + mutant.text.slice(mutant.end));
    const ran = vitest(
      { MUTANT_FILE: mutant.path, MUTANT_SOURCE: source },
      Math.max(90_000, Math.ceil(5000 * unchanged.seconds)),
    );
    const result = ran.passed ? "survived" : ran.ended ? "killed" : "endless";
    results[result]++;
    const line = mutant.text.split("\n")[mutant.line - 1].trim();
    console.log(
      `${result} ${mutant.name}:${mutant.line}:${mutant.column} ${mutant.kind}: ${mutant.was.replaceAll(/\s+/gu, " ")} -> ${mutant.put.replaceAll(/\s+/gu, " ")}${ran.passed ? `   | ${line}` : ""}`,
    );
  }
  console.log(
    `${room}: ${results.killed + results.endless} of ${sample.length} noticed (${results.endless} by not ending), ${results.survived} survived`,
  );
} finally {
  rmSync(temporary, { recursive: true, force: true });
}
