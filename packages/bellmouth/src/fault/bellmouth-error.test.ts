import { describe, expect, it } from "vitest";
import { BellmouthError, faultText, isFault, requireNumber } from "./index.js";

describe("BellmouthError", () => {
  it("says where, what was found and what would be accepted in one line", () => {
    const text = faultText({
      code: "E_UNIT",
      message: "a bore needs a length",
      found: "70 kg",
      accepted: "mm, cm, in",
      at: { file: "swap.yaml", line: 4, column: 9, path: "new.housing.bore" },
    });
    expect(text).toBe(
      "swap.yaml:4:9: new.housing.bore: a bore needs a length (found 70 kg; accepted: mm, cm, in) [E_UNIT]",
    );
  });
  it("shows a user's control characters by their numbers, in names and keys too", () => {
    const text = faultText({
      code: "E_SCHEMA",
      message: "an odd key",
      found: "'\u009b2J'",
      at: { file: "a\u001b[31m\n.yaml", path: `present.\u202e${"x".repeat(1000)}` },
    });
    expect(text).toMatch(
      /^a\\u\{1b\}\[31m\\u\{a\}\.yaml: present\.\\u\{202e\}x{291}…: an odd key \(found '\\u\{9b\}2J'\)/,
    );
  });
  it("is recognised by name and code, not by class", () => {
    const twin = { name: "BellmouthError", code: "E_ORDER" };
    expect(isFault(twin)).toBe(true);
    expect(isFault(twin, "E_ORDER")).toBe(true);
    expect(isFault(twin, "E_UNIT")).toBe(false);
    expect(isFault(new Error("no"))).toBe(false);
    expect(isFault(null)).toBe(false);
    expect(isFault(new BellmouthError({ code: "E_DOMAIN", message: "x" }), "E_DOMAIN")).toBe(true);
  });
});

describe("requireNumber", () => {
  it("returns a number inside its range", () => {
    expect(requireNumber(3, "x", "m", { over: 0, to: 3 })).toBe(3);
  });
  it.each([Number.NaN, Number.POSITIVE_INFINITY, 0, -1, 3.1])("refuses %s", (value) => {
    expect(() => requireNumber(value, "x", "m", { over: 0, to: 3 })).toThrow(
      /x: .*> 0 m and <= 3 m.*E_DOMAIN/,
    );
  });
});
