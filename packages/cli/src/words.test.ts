import { describe, expect, it } from "vitest";
import { shownJson } from "./words.js";

describe("JSON that is shown", () => {
  it("escapes what would steer a terminal, and reads back as the same value", () => {
    const value = {
      "\u202eabc": ["\u009b2J", "\ufeff", "\u{e0001}", "line\nand\ttab", "a\\u202e", "ü µ °"],
      n: 1.5,
    };
    const text = shownJson(value);
    expect(text.slice(0, -1)).not.toMatch(/[^\P{Cc}\n]|[\p{Cf}\p{Cs}]/u);
    expect(text).toContain("ü µ °");
    expect(JSON.parse(text)).toEqual(value);
  });
});
