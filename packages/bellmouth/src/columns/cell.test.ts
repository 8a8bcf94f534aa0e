import { describe, expect, it } from "vitest";
import { fieldValue } from "./cell.js";
import { clockValue } from "./clock.js";

describe("fieldValue", () => {
  it.each([
    ["12", ".", 12],
    [" -3.50 ", ".", -3.5],
    ["+.5", ".", 0.5],
    ["5.", ".", 5],
    ["1e3", ".", 1000],
    ["-1.25E-2", ".", -0.0125],
    ["3,5", ",", 3.5],
    ["0.1234567890123456789", ".", 0.12345678901234568],
  ] as const)("reads %j with %j", (text, decimal, value) => {
    expect(fieldValue(text, decimal)).toEqual({ value, state: "number" });
  });
  it.each(["", "  ", "-", "NaN", "null", "N/A"])("takes %j as missing", (text) => {
    expect(fieldValue(text, ".")).toEqual({ value: Number.NaN, state: "missing" });
  });
  it.each(["1,5", "1.234.5", "0x10", "12 km/h", "Infinity", "1e999", "1_000", "--5", "on"])(
    "will not read %j",
    (text) => {
      expect(fieldValue(text, ".").state).toBe("unreadable");
    },
  );
  it("will not take a point for a mark of thousands or decimals where commas are decimals", () => {
    expect(fieldValue("1.234", ",").state).toBe("unreadable");
    expect(fieldValue("1.234,5", ",").state).toBe("unreadable");
  });
});

describe("clockValue", () => {
  it.each([
    ["08:19:47.605", 8 * 3600 + 19 * 60 + 47.605],
    ["8:19:47", 8 * 3600 + 19 * 60 + 47],
    ["01:02,5", 62.5],
    ["23:59:59,999", 86399.999],
    ["1970-01-02 00:00:01.5", 86401.5],
    ["1970-01-01T01:00:00Z", 3600],
  ])("reads %s", (text, seconds) => {
    expect(clockValue(text).value).toBeCloseTo(seconds, 9);
  });
  it.each(["47.605", "12:60:00", "12:00:61", "noon", "2018-03-19", "1:2:3:4"])("will not read %s", (text) => {
    expect(clockValue(text).state).toBe("unreadable");
  });
});
