import { spawn } from "node:child_process";
import * as fs from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { expectFault, faultsOf } from "../../../../tests/support/faults.js";
import { type Disk, realDisk } from "./disk.js";
import { readTextFile } from "./read-text-file.js";
import { RESULT_MARK } from "./result-mark.js";
import { recoverResultFolder, writeResultFolder } from "./write-result-folder.js";

let folder = "";
beforeEach(() => {
  folder = fs.mkdtempSync(join(tmpdir(), "bellmouth-test-"));
});
afterEach(() => fs.rmSync(folder, { recursive: true, force: true }));

const target = () => join(folder, "out");
const read = (name: string): string => fs.readFileSync(join(target(), name), "utf8");
const everything = (): string[] => fs.readdirSync(folder).sort();

/** The real disk, except that an operation fails on its nth call. */
function failing(
  operation: "write" | "rename" | "settle" | "makeTemporary",
  nth: number,
  code: string,
): Disk {
  let calls = 0;
  const real = realDisk[operation] as (...given: readonly unknown[]) => unknown;
  return {
    ...realDisk,
    [operation]: (...given: readonly unknown[]) => {
      calls++;
      if (calls === nth) throw Object.assign(new Error(`${code}: made to fail`), { code });
      return real(...given);
    },
  };
}

describe("writeResultFolder", () => {
  it("writes all files and nothing else", () => {
    writeResultFolder(target(), { "a.csv": "1\n", "b.json": "{}" }, { replace: false });
    expect(fs.readdirSync(target()).sort()).toEqual([RESULT_MARK, "a.csv", "b.json"]);
    expect(everything()).toEqual(["out"]);
  });

  it("makes the folders above, and takes an empty folder", () => {
    fs.mkdirSync(target());
    writeResultFolder(target(), { "a.csv": "1" }, { replace: false });
    writeResultFolder(join(folder, "deep", "er", "out"), { "a.csv": "1" }, { replace: false });
    expect(everything()).toEqual(["deep", "out"]);
  });

  it("replaces an earlier result only when asked, and then wholly", () => {
    writeResultFolder(target(), { "a.csv": "1", "old.csv": "x" }, { replace: false });
    const again = (replace: boolean) => writeResultFolder(target(), { "a.csv": "2" }, { replace });
    expect(faultsOf(() => again(false))[0]?.code).toBe("E_EXISTS");
    expect(read("a.csv")).toBe("1");
    again(true);
    expect(read("a.csv")).toBe("2");
    expect(fs.existsSync(join(target(), "old.csv"))).toBe(false);
    expect(everything()).toEqual(["out"]);
  });

  it("never replaces a folder with files that are not its own", () => {
    fs.mkdirSync(target());
    fs.writeFileSync(join(target(), "thesis.txt"), "years of work");
    const write = () => writeResultFolder(target(), { "a.csv": "1" }, { replace: true });
    expect(faultsOf(write)[0]).toMatchObject({ code: "E_EXISTS", found: "'thesis.txt'" });
    // Nor a result that a file was put into by hand.
    fs.rmSync(join(target(), "thesis.txt"));
    write();
    fs.writeFileSync(join(target(), "notes.txt"), "mine");
    expect(faultsOf(write)[0]).toMatchObject({ code: "E_EXISTS", found: "'notes.txt'" });
    expect(read("notes.txt")).toBe("mine");
  });

  it("does not take the place of a file", () => {
    fs.writeFileSync(target(), "x");
    expect(faultsOf(() => writeResultFolder(target(), { a: "1" }, { replace: true }))[0]?.code).toBe(
      "E_EXISTS",
    );
  });

  it.each(["../a", "a/b", "", ".hidden", "a\0b", "a\nb"])("refuses the file name %j", (name) => {
    expect(faultsOf(() => writeResultFolder(target(), { [name]: "1" }, { replace: false }))[0]?.code).toBe(
      "E_FILE",
    );
    expect(everything()).toEqual([]);
  });

  it.each([
    ["write", 1, "ENOSPC", "the disk is full; nothing was changed"],
    ["write", 2, "ENOSPC", "the disk is full; nothing was changed"],
    ["write", 3, "EDQUOT", "your share of the disk is used up"],
    ["settle", 1, "EIO", "the disk reports an error"],
    ["makeTemporary", 1, "EROFS", "the disk is read-only"],
    ["makeTemporary", 1, "EACCES", "permission is denied"],
    ["rename", 1, "EPERM", "not permitted; nothing was changed"],
    ["rename", 2, "EBUSY", "in use by another program; nothing was changed"],
  ] as const)("when call %s %i fails with %s, the earlier result stays", (operation, nth, code, words) => {
    writeResultFolder(target(), { "a.csv": "1" }, { replace: false });
    const disk = failing(operation, nth, code);
    const [fault] = faultsOf(() =>
      writeResultFolder(target(), { "a.csv": "2", "b.csv": "2" }, { replace: true }, disk),
    );
    expect(fault?.code).toBe("E_FILE");
    expect(fault?.message).toContain(words);
    expect(read("a.csv")).toBe("1");
    expect(everything()).toEqual(["out"]);
  });

  it("brings back what a killed run moved aside, and removes what it left half done", () => {
    writeResultFolder(target(), { "a.csv": "1" }, { replace: false });
    // No process has so large a number.
    fs.renameSync(target(), join(folder, ".out.bellmouth-old-999999999"));
    fs.mkdirSync(join(folder, ".out.bellmouth-new-999999999-abc"));
    recoverResultFolder(target());
    expect(read("a.csv")).toBe("1");
    expect(everything()).toEqual(["out"]);
  });

  it("F1: keeps what others save into the folder, or change in it, while it is being replaced", () => {
    writeResultFolder(target(), { "a.csv": "1", "b.csv": "1" }, { replace: false });
    const saving: Disk = {
      ...realDisk,
      // The last moment before the earlier result is moved aside.
      rename: (from, to) => {
        if (from === target()) {
          fs.writeFileSync(join(target(), "notes.txt"), "mine");
          fs.writeFileSync(join(target(), "a.csv"), "changed by hand");
          fs.mkdirSync(join(target(), "photos"));
          fs.writeFileSync(join(target(), "photos", "meter.txt"), "also mine");
        }
        realDisk.rename(from, to);
      },
    };
    const kept = writeResultFolder(target(), { "a.csv": "2", "b.csv": "2" }, { replace: true }, saving);
    expect([...kept].sort()).toEqual(["a.csv.kept-1", "notes.txt", "photos"]);
    expect(["a.csv", "b.csv", "a.csv.kept-1", "notes.txt", "photos/meter.txt"].map(read)).toEqual([
      "2",
      "2",
      "changed by hand",
      "mine",
      "also mine",
    ]);
    expect(everything()).toEqual(["out"]);
  });

  it("F1: keeps what is saved into the earlier result while it is being removed", () => {
    writeResultFolder(target(), { "a.csv": "1" }, { replace: false });
    let saved = 0;
    const saving: Disk = {
      ...realDisk,
      removeEmptyFolder: (path) => {
        // Somebody whose working folder it is.
        if (path.includes("-old-") && saved++ < 2) fs.writeFileSync(join(path, `late-${saved}.txt`), "mine");
        realDisk.removeEmptyFolder(path);
      },
    };
    writeResultFolder(target(), { "a.csv": "2" }, { replace: true }, saving);
    expect([read("a.csv"), read("late-1.txt"), read("late-2.txt")]).toEqual(["2", "mine", "mine"]);
    expect(everything()).toEqual(["out"]);
  });

  it("F1: does not remove an empty folder that gets a file, nor a result that was changed", () => {
    fs.mkdirSync(target());
    const saving: Disk = {
      ...realDisk,
      removeEmptyFolder: (path) => {
        if (path === target()) fs.writeFileSync(join(path, "notes.txt"), "mine");
        realDisk.removeEmptyFolder(path);
      },
    };
    const write = (disk: Disk) => writeResultFolder(target(), { "a.csv": "1" }, { replace: true }, disk);
    expect(faultsOf(() => write(saving))[0]?.message).toMatch(
      /saved files into it meanwhile; nothing was changed/,
    );
    expect(fs.readdirSync(target())).toEqual(["notes.txt"]);
    fs.rmSync(join(target(), "notes.txt"));
    write(realDisk);
    fs.writeFileSync(join(target(), "a.csv"), "tuned by hand");
    expect(faultsOf(() => write(realDisk))[0]).toMatchObject({
      code: "E_EXISTS",
      found: "'a.csv' (changed since)",
    });
    expect(read("a.csv")).toBe("tuned by hand");
    expect(everything()).toEqual(["out"]);
  });

  it("F1: says where the earlier result is when its place was taken meanwhile", () => {
    writeResultFolder(target(), { "a.csv": "1" }, { replace: false });
    const taking: Disk = {
      ...realDisk,
      rename: (from, to) => {
        realDisk.rename(from, to);
        if (from !== target()) return;
        fs.mkdirSync(target());
        fs.writeFileSync(join(target(), "notes.txt"), "mine");
      },
    };
    const write = () => writeResultFolder(target(), { "a.csv": "2" }, { replace: true }, taking);
    expect(faultsOf(write)[0]?.message).toMatch(/the earlier result is in .*\.out\.bellmouth-old-/);
    const aside = everything()[0] ?? "";
    expect(fs.readFileSync(join(folder, aside, "a.csv"), "utf8")).toBe("1");
    expect(read("notes.txt")).toBe("mine");
    // The next run leaves both alone.
    expect(faultsOf(write)[0]?.code).toBe("E_EXISTS");
    expect(everything()).toEqual([aside, "out"]);
  });

  it("F1: waits for another run, and takes away the lock of one that is over", () => {
    const lock = join(folder, ".out.bellmouth-lock");
    const write = (disk: Disk) => writeResultFolder(target(), { "a.csv": "1" }, { replace: true }, disk);
    for (const left of ["999999999 HOST\n".replace("HOST", realDisk.host), ""]) {
      fs.writeFileSync(lock, left);
      let waited = 0;
      write({ ...realDisk, wait: (milliseconds) => (waited += milliseconds) });
      expect(waited).toBe(left === "" ? 2000 : 0);
      expect(everything()).toEqual(["out"]);
    }
    // The parent process lives; so may one on another machine.
    for (const held of [`${process.ppid} ${realDisk.host}\n`, "999999999 elsewhere\n"]) {
      fs.writeFileSync(lock, held);
      let waited = 0;
      const [fault] = faultsOf(() =>
        write({ ...realDisk, wait: (milliseconds) => (waited += milliseconds) }),
      );
      expect(fault).toMatchObject({ code: "E_EXISTS", found: `process ${held.trim().replace(" ", " on ")}` });
      expect(waited).toBe(10_000);
    }
    // One that ends while we wait.
    let steps = 0;
    const ending = () => {
      if (++steps === 3) fs.rmSync(lock);
    };
    write({ ...realDisk, wait: ending });
    expect(everything()).toEqual(["out"]);
  });

  it.skipIf(process.platform === "win32")("F2: follows a symbolic link", () => {
    fs.symlinkSync("real", target());
    for (const text of ["1", "2"]) {
      writeResultFolder(target(), { "a.csv": text }, { replace: true });
      expect(read("a.csv")).toBe(text);
      expect(fs.readlinkSync(target())).toBe("real");
    }
    fs.symlinkSync("circle", join(folder, "circle"));
    const [fault] = faultsOf(() => writeResultFolder(join(folder, "circle"), {}, { replace: true }));
    expect(fault?.message).toMatch(/links lead in a circle.*E_FILE/);
    expect(everything()).toEqual(["circle", "out", "real"]);
  });

  it("loses nothing when killed at any moment", async () => {
    const { buildSync } = await import("esbuild");
    const module = join(folder, "files.mjs");
    buildSync({
      entryPoints: [new URL("./index.ts", import.meta.url).pathname],
      bundle: true,
      platform: "node",
      format: "esm",
      outfile: module,
    });
    const script = `import { writeResultFolder } from ${JSON.stringify(module)};
      for (let n = 0; ; n++) {
        const text = String(n).repeat(20000);
        writeResultFolder(${JSON.stringify(target())}, { "a.csv": text, "b.csv": text, "c.csv": text }, { replace: true });
        if (n === 0) process.stdout.write("going");
      }`;
    let seen = 0;
    for (let kill = 0; kill < 12; kill++) {
      const child = spawn(process.execPath, ["--input-type=module", "-e", script], {
        stdio: ["ignore", "pipe", "inherit"],
      });
      await new Promise((resolve) => child.stdout.once("data", resolve));
      await new Promise((resolve) => setTimeout(resolve, 3 + kill * 4));
      const ended = new Promise((resolve) => child.once("exit", resolve));
      child.kill("SIGKILL");
      await ended;
      recoverResultFolder(target());
      const [a, b, c] = ["a.csv", "b.csv", "c.csv"].map(read);
      expect(a?.length).toBeGreaterThanOrEqual(20000);
      expect(b).toBe(a);
      expect(c).toBe(a);
      expect(everything()).toEqual(["files.mjs", "out"]);
      seen++;
    }
    expect(seen).toBe(12);
  });
});

describe("a real disk that is full or read-only", () => {
  it("gives a clear fault and leaves nothing half written", async () => {
    // A small disk of one's own needs a mount, which Linux lets an ordinary user make in a new namespace.
    const { spawnSync } = await import("node:child_process");
    const { buildSync } = await import("esbuild");
    const module = join(folder, "files.mjs");
    buildSync({
      entryPoints: [new URL("./index.ts", import.meta.url).pathname],
      bundle: true,
      platform: "node",
      format: "esm",
      outfile: module,
    });
    const script = `import { writeResultFolder } from ${JSON.stringify(module)};
      import { readdirSync } from "node:fs";
      const say = (files) => { try { writeResultFolder("DISK/out", files, { replace: true }); return "written"; } catch (e) { return e.message; } };
      console.log(JSON.stringify([say({ "a.csv": "1" }), say({ "a.csv": "x".repeat(1e6) }), readdirSync("DISK"), readdirSync("DISK/out")]));`;
    fs.writeFileSync(join(folder, "try.mjs"), script.replaceAll("DISK", `${folder}/disk`));
    fs.mkdirSync(join(folder, "disk"));
    const node = `${process.execPath} ${folder}/try.mjs`;
    const inside = `mount -t tmpfs -o size=256k tmpfs ${folder}/disk && ${node} && mount -o remount,ro ${folder}/disk && ${node}`;
    const ran = spawnSync("unshare", ["-rm", "sh", "-c", inside], { encoding: "utf8" });
    if (ran.status !== 0) {
      // The failing disk above covers the same paths where no mount can be made.
      console.warn(`no small disk can be made here: ${(ran.stderr ?? String(ran.error)).trim()}`);
      return;
    }
    const [full, readOnly] = ran.stdout
      .trim()
      .split("\n")
      .map((line) => JSON.parse(line) as string[]);
    expect(full?.[0]).toBe("written");
    expect(full?.[1]).toMatch(/the disk is full; nothing was changed.*E_FILE/u);
    expect(full?.slice(2)).toEqual([["out"], [RESULT_MARK, "a.csv"]]);
    expect(readOnly?.[1]).toMatch(/the disk is read-only.*E_FILE/u);
  });
});

describe("readTextFile", () => {
  it("says what is wrong with a file that cannot be read", () => {
    expect(faultsOf(() => readTextFile(join(folder, "nowhere.csv"), "nowhere.csv"))[0]?.message).toBe(
      "nowhere.csv: cannot read the file: there is no such file or folder [E_FILE]",
    );
    expect(faultsOf(() => readTextFile(folder, "out"))[0]?.message).toContain("a folder, not a file");
    fs.writeFileSync(join(folder, "latin.csv"), Buffer.from("a\n\xb0C", "latin1"));
    expectFault(() => readTextFile(join(folder, "latin.csv")), "E_ENCODING", "2:1", "not UTF-8");
    fs.writeFileSync(join(folder, "utf16.csv"), Buffer.from("\ufeffhé", "utf16le"));
    expect(readTextFile(join(folder, "utf16.csv"))).toBe("hé");
  });
});
