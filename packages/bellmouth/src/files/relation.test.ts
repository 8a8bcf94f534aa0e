import { linkSync, mkdirSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { expect, it } from "vitest";
import { relationOf } from "./relation.js";

it.skipIf(process.platform === "win32")("F2: knows one place under several names", () => {
  const folder = mkdtempSync(join(tmpdir(), "bellmouth-places-"));
  try {
    const at = (...names: readonly string[]): string => join(folder, ...names);
    mkdirSync(at("out"));
    writeFileSync(at("a.yaml"), "a");
    symlinkSync("a.yaml", at("link.yaml"));
    linkSync(at("a.yaml"), at("second.yaml"));
    symlinkSync("out", at("also-out"));
    expect(relationOf(at("a.yaml"), at("a.yaml"))).toBe("same");
    expect(relationOf(at("link.yaml"), at("a.yaml"))).toBe("same");
    expect(relationOf(at("second.yaml"), at("link.yaml"))).toBe("same");
    expect(relationOf(at("also-out"), at("out"))).toBe("same");
    expect(relationOf(at("new"), at("out", "..", "new"))).toBe("same");
    expect(relationOf(at("also-out", "new.html"), at("out"))).toBe("inside");
    expect(relationOf(at("out"), at("out", "new.html"))).toBe("apart");
    expect(relationOf(at("out2"), at("out"))).toBe("apart");
    expect(relationOf(at("..out"), folder)).toBe("inside");
  } finally {
    rmSync(folder, { recursive: true });
  }
});
