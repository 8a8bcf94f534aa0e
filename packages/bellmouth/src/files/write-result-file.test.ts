import {
  mkdtempSync,
  readdirSync,
  readFileSync,
  readlinkSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { realDisk } from "./disk.js";
import { writeResultFile } from "./write-result-file.js";

let folder = "";
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "bellmouth-file-"));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

describe("writeResultFile", () => {
  it("writes a file, in a folder it makes", () => {
    const target = join(folder, "a", "page.html");
    writeResultFile(target, "air", { replace: false });
    expect(readFileSync(target, "utf8")).toBe("air");
    expect(readdirSync(join(folder, "a"))).toEqual(["page.html"]);
  });
  it("replaces only when asked, and never a folder", () => {
    const target = join(folder, "page.html");
    writeFileSync(target, "old");
    expect(() => writeResultFile(target, "new", { replace: false })).toThrow(/E_EXISTS/);
    expect(readFileSync(target, "utf8")).toBe("old");
    writeResultFile(target, "new", { replace: true });
    expect(readFileSync(target, "utf8")).toBe("new");
    expect(() => writeResultFile(folder, "new", { replace: true })).toThrow(/E_EXISTS/);
  });
  it.skipIf(process.platform === "win32")("F2: follows symbolic links, also where nothing is yet", () => {
    symlinkSync("sub/page.html", join(folder, "link.html"));
    for (const text of ["1", "2"]) {
      writeResultFile(join(folder, "link.html"), text, { replace: true });
      expect(readlinkSync(join(folder, "link.html"))).toBe("sub/page.html");
      expect(readFileSync(join(folder, "sub", "page.html"), "utf8")).toBe(text);
    }
    expect(() => writeResultFile(join(folder, "link.html"), "3", { replace: false })).toThrow(/E_EXISTS/);
    expect(readdirSync(join(folder, "sub"))).toEqual(["page.html"]);
  });
  it("F1: does not replace a file that is saved at the last moment", () => {
    const target = join(folder, "page.html");
    const saving = {
      ...realDisk,
      moveNew: (from: string, to: string) => {
        writeFileSync(target, "mine");
        return realDisk.moveNew(from, to);
      },
    };
    expect(() => writeResultFile(target, "new", { replace: false }, saving)).toThrow(/E_EXISTS/);
    expect(readFileSync(target, "utf8")).toBe("mine");
    expect(readdirSync(folder)).toEqual(["page.html"]);
  });
  it("tells the first failure when tidying up fails too", () => {
    const fail = (code: string): never => {
      throw Object.assign(new Error(code), { code });
    };
    let removals = 0;
    const broken = {
      ...realDisk,
      write: () => fail("ENOSPC"),
      removeFile: (path: string) => {
        if (path.endsWith(".lock")) return realDisk.removeFile(path);
        removals++;
        return fail("EROFS");
      },
    };
    const write = () => writeResultFile(join(folder, "page.html"), "new", { replace: true }, broken);
    expect(write).toThrow(/the disk is full.*E_FILE/);
    expect(removals).toBe(1);
  });
  it("removes what killed runs left half written, and nothing else", () => {
    // No process has so large a number; that of this one's parent lives.
    const living = `.page.html.new-${process.ppid}`;
    for (const name of [
      ".page.html.new-999999999",
      `.page.html.new-${process.pid}`,
      living,
      ".page.html.new-x",
      ".pages",
    ]) {
      writeFileSync(join(folder, name), "half");
    }
    writeResultFile(join(folder, "page.html"), "air", { replace: false });
    expect(readdirSync(folder).sort()).toEqual([living, ".page.html.new-x", ".pages", "page.html"].sort());
  });
  it("leaves the old file whole when the disk refuses", () => {
    const target = join(folder, "page.html");
    writeFileSync(target, "old");
    const full = {
      ...realDisk,
      rename: () => {
        throw Object.assign(new Error("full"), { code: "ENOSPC" });
      },
    };
    expect(() => writeResultFile(target, "new", { replace: true }, full)).toThrow(/the disk is full.*E_FILE/);
    expect(readFileSync(target, "utf8")).toBe("old");
    expect(readdirSync(folder)).toEqual(["page.html"]);
  });
  it.skipIf(process.platform === "win32")("says so where nothing can be written, and ends", () => {
    writeFileSync(join(folder, "notes.txt"), "mine");
    // A folder that takes no entries, a file where a folder is meant, names that no disk takes.
    for (const target of [
      "/proc/x/y/page.html",
      join(folder, "notes.txt", "page.html"),
      join(folder, "x".repeat(300)),
      join(folder, "a\0b"),
    ]) {
      expect(() => writeResultFile(target, "air", { replace: true }), target).toThrow(/E_FILE/);
    }
    expect(() => writeResultFile("/dev/full", "air", { replace: true })).toThrow(
      /neither a file nor a folder/,
    );
    expect(readdirSync(folder)).toEqual(["notes.txt"]);
  });
});
