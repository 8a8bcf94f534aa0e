// DEVELOPERS.md against the tree: each step of its walk names a file that exists and a function that stands in it.
import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";

const root = new URL("../../", import.meta.url).pathname;
const page = readFileSync(join(root, "DEVELOPERS.md"), "utf8");
const walk = (page.split("## The walk of one number")[1]?.split("\n## ")[0] ?? "")
  .split("\n")
  .map(
    (line) => /^\| (?:\*\*(?<form>[^*]+)\*\*)? ?\| `(?<file>[^`]+)` \| `(?<name>\w+)` \|/.exec(line)?.groups,
  )
  .filter((step) => step !== undefined);

describe("the walk of one number", () => {
  it("takes at most 20 files and 5 forms", () => {
    expect(walk.length).toBeGreaterThan(10);
    expect(new Set(walk.map((step) => step["file"])).size).toBeLessThanOrEqual(20);
    expect(walk.filter((step) => step["form"] !== undefined).length).toBeLessThanOrEqual(5);
  });

  it.each(walk.map((step) => [step["file"] as string, step["name"] as string]))("%s has %s", (file, name) => {
    const path = join(root, "packages", file);
    expect(existsSync(path), file).toBe(true);
    expect(readFileSync(path, "utf8")).toMatch(new RegExp(`(function|const|interface|type) ${name}\\b`));
  });

  it("names files and folders that exist", () => {
    const named = [...page.matchAll(/`((?:packages|tests|tools|docs|examples)\/[\w/.-]+)`/g)].map(
      ([, name]) => name as string,
    );
    expect(named.length).toBeGreaterThan(5);
    expect(named.filter((name) => !existsSync(join(root, name)))).toEqual([]);
  });
});
