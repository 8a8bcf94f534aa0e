import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
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
});
