import { spawn } from "node:child_process";
import { existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { RESULT_MARK } from "bellmouth/files";
import { buildSync } from "esbuild";
import { afterAll, beforeAll, expect, it } from "vitest";
import { fullFuzz } from "../support/fuzz/cases.js";

let folder = "";
let module = "";
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "bellmouth-races-"));
  module = join(folder, "files.mjs");
  buildSync({
    entryPoints: [new URL("../../packages/bellmouth/src/files/index.ts", import.meta.url).pathname],
    bundle: true,
    platform: "node",
    format: "esm",
    outfile: module,
  });
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Races of real processes: few in an ordinary run, many in the gate's. */
const RACES = fullFuzz ? 40 : 4;

/** Runs a script in a process of its own and gives what it printed, once both are started. */
function inProcess(script: string): Promise<string> {
  const child = spawn(process.execPath, ["--input-type=module", "-e", script], {
    stdio: ["ignore", "pipe", "inherit"],
  });
  let printed = "";
  child.stdout.on("data", (part) => {
    printed += part;
  });
  return new Promise((resolve) => child.once("close", () => resolve(printed)));
}

/** Writes a result, once the clock says so: processes start at different speeds. */
const writer = (target: string, text: string, at: number, replace: boolean): string => `
  import { writeResultFolder } from ${JSON.stringify(module)};
  while (Date.now() < ${at});
  try {
    writeResultFolder(${JSON.stringify(target)}, { "a.csv": "${text}", "b.csv": "${text}".repeat(50000) }, { replace: ${replace} });
    console.log("written");
  } catch (error) { console.log(error.code ?? error); }`;

it("F1: two runs into one empty folder: one result, and the other run says so", async () => {
  for (let race = 0; race < RACES; race++) {
    const target = join(folder, `race-${race}`);
    if (race % 2 === 0) mkdirSync(target);
    const at = Date.now() + 1500;
    const told = await Promise.all(["1", "2"].map((text) => inProcess(writer(target, text, at, false))));
    expect(told.map((one) => one.trim()).sort()).toEqual(["E_EXISTS", "written"]);
    const won = told[0]?.startsWith("written") === true ? "1" : "2";
    expect(readFileSync(join(target, "a.csv"), "utf8")).toBe(won);
    expect(readFileSync(join(target, "b.csv"), "utf8")).toBe(won.repeat(50000));
    expect(readdirSync(target).sort()).toEqual([RESULT_MARK, "a.csv", "b.csv"]);
  }
}, 300_000);

it("F1: nothing that another program saves during replacements is lost", async () => {
  for (let race = 0; race < RACES; race++) {
    const target = join(folder, `saved-${race}`);
    await inProcess(writer(target, "0", 0, false));
    const end = Date.now() + 2500;
    const [saved, written] = await Promise.all([
      inProcess(`
        import { writeFileSync } from "node:fs";
        while (Date.now() < ${end - 700});
        try { writeFileSync(${JSON.stringify(join(target, "notes.txt"))}, "mine"); console.log("saved"); }
        catch (error) { console.log(error.code); }`),
      inProcess(`
        import { writeResultFolder } from ${JSON.stringify(module)};
        let n = 0;
        try { while (Date.now() < ${end}) writeResultFolder(${JSON.stringify(target)}, { "a.csv": String(n++) }, { replace: true }); }
        catch (error) { console.log(error.code); }`),
    ]);
    // Between two renames there is no folder to save into: whoever saves is told.
    expect(["saved", "ENOENT"]).toContain(saved.trim());
    if (saved.trim() !== "saved") continue;
    expect(readFileSync(join(target, "notes.txt"), "utf8")).toBe("mine");
    // The next replacement finds a file that is not its own.
    expect(written.trim()).toBe("E_EXISTS");
    expect(existsSync(join(target, "a.csv"))).toBe(true);
  }
}, 300_000);
