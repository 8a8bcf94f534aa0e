import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";

const read = (path: string): string => readFileSync(new URL(`../../${path}`, import.meta.url), "utf8");

describe("docs/concepts/mistakes.md", () => {
  it("lists every code of the library, and no other", () => {
    const source = read("packages/bellmouth/src/fault/bellmouth-error.ts");
    const union = source.slice(source.indexOf("type FaultCode"), source.indexOf("/** Where a mistake is"));
    const codes = [...union.matchAll(/"(E_[A-Z_]+)"/g)].map((match) => match[1]);
    const told = [...read("docs/concepts/mistakes.md").matchAll(/^\| `(E_[A-Z_]+)` \|/gm)].map(
      (match) => match[1],
    );
    expect(codes.length).toBeGreaterThan(15);
    expect(told).toEqual(codes);
  });
});
