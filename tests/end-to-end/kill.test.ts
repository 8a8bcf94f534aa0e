import { spawn, spawnSync } from "node:child_process";
import {
  cpSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { EXIT } from "@bellmouth/cli";
import { seededRandom } from "@bellmouth/simulator";
import { RESULT_MARK } from "bellmouth/files";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { bundle } from "../support/bundle.js";
import { type Ran, runIn } from "../support/run-in.js";

// The command as a process of its own, killed, and on disks that refuse: an earlier result stays whole or the new one is.

const demo = new URL("../../examples/demo/", import.meta.url);
let folder = "";
let main = "";
let loop = "";
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), "bellmouth-kill-"));
  main = join(folder, "main.mjs");
  loop = join(folder, "loop.mjs");
  await bundle("cli/src/main.ts", main);
  cpSync(demo, join(folder, "job"), { recursive: true });
  const text = readFileSync(new URL("swap.yaml", demo), "utf8");
  for (const name of ["one", "two"]) {
    writeFileSync(join(folder, "job", `${name}.yaml`), text.replace(/^title: .*$/mu, `title: plan ${name}`));
    expect((await here("plan", `job/${name}.yaml`, "--out", `sample-${name}`)).code).toBe(EXIT.done);
  }
  // The real files of two plans, written in turn with nothing computed between: most kills then meet a write.
  await bundle("bellmouth/src/files/index.ts", join(folder, "files.mjs"));
  writeFileSync(
    loop,
    `import { readFileSync, readdirSync } from "node:fs";
import { writeResultFile, writeResultFolder } from "./files.mjs";
process.chdir(${JSON.stringify(folder)});
const files = (from) => Object.fromEntries(readdirSync(from).filter((name) => name[0] !== ".").map((name) => [name, readFileSync(from + "/" + name)]));
const samples = ["sample-one", "sample-two"].map(files);
for (let n = 0; ; n++) {
  writeResultFolder("out", samples[n % 2], { replace: true });
  writeResultFile("page.html", samples[n % 2]["report.html"].toString(), { replace: true });
  if (n === 0) process.stdout.write("x");
}`,
  );
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const command = (...argv: readonly string[]) =>
  spawnSync(process.execPath, [main, ...argv], { cwd: folder, encoding: "utf8", timeout: 50_000 });
/** The same without a process. */
const here = (...argv: readonly string[]): Promise<Ran> => runIn(folder, argv);
const leftovers = (): string[] => readdirSync(folder).filter((name) => name.startsWith("."));

/** The title that a whole result in the folder carries; throws when it is not whole. */
function wholeResult(out: string): string {
  const listed = readFileSync(join(out, RESULT_MARK), "utf8")
    .trimEnd()
    .split("\n")
    .map((line) => line.replace(/^[0-9a-f]{64} {2}/u, ""));
  expect(readdirSync(out).sort()).toEqual([RESULT_MARK, ...listed].sort());
  for (const name of ["airflow-table.csv", "plan.json", "summary.md"]) expect(listed).toContain(name);
  const { title } = JSON.parse(readFileSync(join(out, "plan.json"), "utf8")) as { title: string };
  expect(readFileSync(join(out, "summary.md"), "utf8")).toContain(`# ${title}\n`);
  return title;
}

describe("a plan that is killed while it writes", () => {
  it("leaves the old result or the new one, and the next run puts the rest right", async () => {
    const random = seededRandom(23);
    const titles = new Set<string>();
    let interrupted = 0;
    const kills = 12;
    for (let kill = 0; kill < kills; kill++) {
      const child = spawn(process.execPath, [loop], { stdio: ["ignore", "pipe", "inherit"] });
      const ended = new Promise((resolve) => child.once("exit", resolve));
      await new Promise((resolve) => child.stdout.once("data", resolve));
      await new Promise((resolve) => setTimeout(resolve, 60 * random.uniform()));
      child.kill("SIGKILL");
      await ended;
      if (leftovers().length > 0) interrupted++;
      // A run that may not replace: it refuses, having brought back what was moved aside.
      const again = await here("plan", "job/one.yaml", "--out", "out");
      expect(again.code, again.stderr).toBe(EXIT.file);
      expect(again.stderr).toContain("there is a result already");
      titles.add(wholeResult(join(folder, "out")));
      const page = readFileSync(join(folder, "page.html"), "utf8");
      expect(page).toMatch(/^<!doctype html>[\s\S]*<title>plan (?:one|two)<\/title>[\s\S]*<\/html>\s*$/u);
    }
    // And one that may.
    const last = command("plan", "job/one.yaml", "--out", "out", "--report", "page.html", "--replace");
    expect(last.status, last.stderr).toBe(EXIT.done);
    expect(wholeResult(join(folder, "out"))).toBe("plan one");
    expect(leftovers()).toEqual([]);
    // The schedule is seeded, the machine is not: most kills should meet a write, and some must.
    expect(interrupted).toBeGreaterThan(0);
    expect([...titles].every((title) => title === "plan one" || title === "plan two")).toBe(true);
    console.info(`${kills} kills, ${interrupted} of them while something was being written`);
  }, 120_000);
});

describe("disks that refuse", () => {
  it("a limit on the size of files: E_FILE, and nothing half written", () => {
    const limited = spawnSync(
      "bash",
      [
        "-c",
        `ulimit -f 1; exec "$0" "$1" plan job/one.yaml --out small --report small.html`,
        process.execPath,
        main,
      ],
      { cwd: folder, encoding: "utf8" },
    );
    expect(limited.status, limited.stderr).toBe(EXIT.file);
    expect(limited.stderr).toMatch(
      /small: cannot write the result: .*larger than allowed.*nothing was changed \[E_FILE\]$/mu,
    );
    expect(limited.stderr).not.toMatch(/^\s+at /mu);
    expect(existsSync(join(folder, "small"))).toBe(false);
    expect(existsSync(join(folder, "small.html"))).toBe(false);
    expect(readdirSync(folder).filter((name) => name.startsWith(".small"))).toEqual([]);
  });

  it.skipIf(process.platform !== "linux").each([
    ["a folder that takes no entries", "/proc/none/out", /there is no such file or folder.*\[E_FILE\]/u],
    [
      "a file where a folder is meant",
      "job/one.yaml/out",
      /(?:there is a file where a folder should be|part of the path is a file).*\[E_FILE\]/u,
    ],
    ["a name that is too long", "x".repeat(300), /the name is too long.*\[E_FILE\]/u],
    ["a zero byte", "a\0b", /cannot .*\[E_FILE\]/u],
  ] as const)("%s: a clear fault", async (_, name, words) => {
    for (const option of ["--out", "--report"]) {
      // As a process where it might not end: that can be timed out.
      const { stderr, code } = name.startsWith("/proc")
        ? (({ status, ...rest }) => ({ ...rest, code: status }))(
            command("plan", "job/one.yaml", option, name),
          )
        : await here("plan", "job/one.yaml", option, name);
      expect(stderr).toMatch(words);
      expect(code).toBe(EXIT.file);
      expect(stderr).not.toMatch(/^\s+at /mu);
    }
  });

  it("a small disk that fills up, and is then read-only", (context) => {
    const disk = join(folder, "disk");
    mkdirSync(disk);
    const plan = (name: string, more = "") =>
      `"${process.execPath}" "${main}" plan job/${name}.yaml --out disk/out ${more} >/dev/null; echo "exit $?"; cat disk/out/plan.json | head -c 60 | tr -d '\\n'; echo; ls -A disk >&2`;
    // The first result fits; a second beside it does not.
    const inside = `mount -t tmpfs -o size=900k tmpfs disk && { ${plan("one")}; head -c 2000000 /dev/zero > disk/filler 2>/dev/null; ${plan("two", "--replace")}; mount -o remount,ro disk; ${plan("two", "--replace")}; }`;
    const { status, stdout, stderr } = spawnSync("unshare", ["-rm", "sh", "-c", inside], {
      cwd: folder,
      encoding: "utf8",
    });
    if (status !== 0) return context.skip(`no small disk can be made here: ${stderr.trim().slice(0, 200)}`);
    expect(stdout.match(/exit \d+/gu)).toEqual([
      `exit ${EXIT.done}`,
      `exit ${EXIT.file}`,
      `exit ${EXIT.file}`,
    ]);
    expect(stdout.match(/plan one/gu)?.length).toBe(3);
    expect(stdout).not.toContain("plan two");
    expect(stderr).toMatch(
      /disk\/out: cannot write (?:the result|there): the disk is full; nothing was changed \[E_FILE\]/u,
    );
    expect(stderr).toMatch(/disk\/out: .*the disk is read-only.* \[E_FILE\]/u);
    expect(stderr).not.toMatch(/^\.out/mu);
  });
});
