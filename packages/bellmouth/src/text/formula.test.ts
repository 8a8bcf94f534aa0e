import fc from "fast-check";
import * as math from "mathjs/number";
import { describe, expect, it } from "vitest";
import { faultsOf } from "../../../../tests/support/faults.js";
import { fuzzRuns } from "../../../../tests/support/fuzz-runs.js";
import { compileFormula, isFormulaName } from "./formula.js";

const names = ["afr", "rpm", "map_kpa", "t"];
const value = (text: string, scope: Readonly<Record<string, number>>): number => {
  const formula = compileFormula(text, names);
  return formula.evaluate(formula.uses.map((name) => scope[name] ?? Number.NaN));
};

describe("compileFormula", () => {
  it("computes what is written, in the usual order of operations", () => {
    const scope = { afr: 13.23, rpm: 3000, map_kpa: 100, t: 20 };
    expect(value("afr / 14.7", scope)).toBeCloseTo(0.9, 12);
    expect(value("-2^2 + 2*3", scope)).toBe(2);
    expect(value("2^3^2", scope)).toBe(512);
    expect(value("1 < afr < 14 and not (rpm == 0)", scope)).toBe(1);
    expect(value("rpm > 2000 ? map_kpa : t", scope)).toBe(100);
    expect(value("max(1, t, 3) + min(2, 5) + sqrt(16) + abs(-1) + log(exp(1)) + log10(100)", scope)).toBe(30);
    expect(value("2 * pi", scope)).toBeCloseTo(6.283185307, 9);
  });

  it("names what it uses", () => {
    expect(compileFormula("rpm * afr + rpm", names).uses).toEqual(["rpm", "afr"]);
  });

  it("gives a missing sample for a missing sample, whatever the formula does with it", () => {
    expect(value("afr > 1 ? 1 : 2", { afr: Number.NaN })).toBeNaN();
    expect(value("min(afr, rpm)", { afr: Number.NaN, rpm: 1 })).toBeNaN();
    expect(value("1 / (t - t)", { t: 1 })).toBeNaN();
    expect(value("log(-t)", { t: 1 })).toBeNaN();
  });

  it.each([
    ["", "the formula is empty", undefined],
    ["afr /", "does not parse", 6],
    ["afr / 14,7", "does not parse|has no", undefined],
    ["afr // 14.7", "does not parse", 6],
    ["arf / 14.7", "no such name; did you mean 'afr'", 1],
    ["rpm + lambda", "no such name", 7],
    ["2 afr", "products are written with \\*", undefined],
    ["5 cm", "products are written with|no such name", undefined],
    ["sin(t)", "a formula has no function 'sin'; did you mean 'min'", 1],
    ["abs(t, t)", "'abs' takes one number", 1],
    ["max()", "'max' takes one number or more", 1],
    ["t!", "a formula has no operator '!'", 2],
    ["5%", "what % means in a formula is unclear", 2],
    ["8 + 5 %", "what % means", 7],
    ["t'", "a formula has no operator|does not parse", undefined],
    ["5 mod t", "a formula has no operator", undefined],
    ["t to t", "a formula has no operator|no such name", undefined],
    ["'text'", "only numbers can stand here", undefined],
    ["true", "no such name|only numbers", undefined],
    ["NaN", "no such name|only numbers", undefined],
    ["Infinity", "no such name|only numbers", undefined],
    ["1e999", "only numbers can stand here", undefined],
    ["t = 5", "a formula has no assignment", undefined],
    ["f(x) = x", "a formula has no functionassignment", undefined],
    ["[1, 2]", "a formula has no array", undefined],
    ["1:5", "a formula has no range", undefined],
    ["{a: 1}", "a formula has no object", undefined],
    ["t; t", "a formula has no block", undefined],
    ["t\nt", "a formula has no block", undefined],
    ["t.constructor", "a formula has no accessor", undefined],
    ['t["constructor"]', "a formula has no accessor", undefined],
    ["t[1]", "a formula has no accessor", undefined],
    ["t.toString()", "only functions by name", undefined],
    ["import({a: 1})", "a formula has no function 'import'", 1],
    ['evaluate("1+1")', "a formula has no function 'evaluate'", 1],
    ['parse("1")', "a formula has no function 'parse'", 1],
    ['createUnit("foo")', "a formula has no function 'createUnit'", 1],
    ['simplify("x")', "a formula has no function 'simplify'", 1],
    ['derivative("x", "x")', "a formula has no function 'derivative'", 1],
    ["config({})", "a formula has no function 'config'", 1],
    ["reviver()", "a formula has no function 'reviver'", 1],
    ["constructor(1)", "a formula has no function 'constructor'", 1],
    ["__proto__", "no such name", 1],
    ["toString", "no such name", 1],
    ["valueOf(1)", "a formula has no function 'valueOf'", 1],
    ["hasOwnProperty(t)", "a formula has no function", 1],
    [`${"(".repeat(300)}1${")".repeat(300)}`, "more than 500 characters", undefined],
    [`${"(".repeat(240)}1`, "does not parse", undefined],
  ])("refuses %j", (text, words, column) => {
    const [fault, ...more] = faultsOf(() =>
      compileFormula(text, names, { file: "x.yaml", line: 3, column: 1 }),
    );
    expect(more).toEqual([]);
    expect(fault?.code).toBe("E_FORMULA");
    expect(fault?.message).toMatch(new RegExp(words));
    expect(fault?.at?.line).toBe(3);
    if (column !== undefined) expect(fault?.at?.column).toBe(column);
  });

  it("refuses names that a formula cannot tell from its own words", () => {
    for (const name of [
      "min",
      "pi",
      "and",
      "a b",
      "2a",
      "a-b",
      "constructor",
      "__proto__",
      "",
      "end",
      "a.b",
    ]) {
      expect(isFormulaName(name)).toBe(false);
      expect(faultsOf(() => compileFormula("1", [name]))[0]?.code).toBe("E_FORMULA");
    }
    expect(isFormulaName("wideband_afr")).toBe(true);
  });

  it("agrees with mathjs's own evaluation (property)", () => {
    const leaf = fc.oneof(
      fc.constantFrom(...names),
      fc.double({ min: 0.01, max: 100, noNaN: true }).map((x) => x.toFixed(3)),
    );
    const { tree } = fc.letrec<{ tree: string }>((tie) => ({
      tree: fc.oneof(
        { depthSize: "small", withCrossShrink: true },
        leaf,
        fc
          .tuple(tie("tree"), fc.constantFrom("+", "-", "*", "/", "^", "<", ">", "<=", ">="), tie("tree"))
          .map(([a, op, b]) => `(${a} ${op} ${b})`),
        fc
          .tuple(fc.constantFrom("abs", "sqrt", "exp", "log", "min", "max", "floor"), tie("tree"))
          .map(([f, a]) => `${f}(${a})`),
        fc.tuple(tie("tree"), tie("tree"), tie("tree")).map(([a, b, c]) => `(${a} > 1 ? ${b} : ${c})`),
        tie("tree").map((a) => `-${a}`),
      ),
    }));
    const scope = { afr: 13.2, rpm: 3.1, map_kpa: 0.87, t: 2.3 };
    let compared = 0;
    fc.assert(
      fc.property(tree, (text) => {
        if (text.length > 500) return;
        const theirs = Number(math.evaluate?.(text, { ...scope }));
        const ours = value(text, scope);
        if (!Number.isFinite(theirs)) {
          expect(ours).toBeNaN();
          return;
        }
        compared++;
        if (theirs === ours) return;
        expect(Math.abs(ours - theirs)).toBeLessThanOrEqual(1e-12 * Math.abs(theirs));
      }),
      { numRuns: 1000, seed: 4 },
    );
    expect(compared).toBeGreaterThan(500);
  });

  it("never does anything but compute or refuse (property)", () => {
    const piece = fc.constantFrom(
      "afr",
      "rpm",
      "(",
      ")",
      "+",
      "-",
      "*",
      "/",
      "^",
      ".",
      ",",
      ":",
      ";",
      "?",
      "=",
      "[",
      "]",
      "{",
      "}",
      "'",
      '"',
      "!",
      "%",
      "@",
      "\n",
      "1",
      "2.5",
      "e",
      "i",
      "constructor",
      "__proto__",
      "import",
      "evaluate",
      "to",
      "mod",
      "and",
      "not ",
      "#",
      "\\",
      "`",
      "\u0000",
      "∞",
    ); // prettier-ignore
    fc.assert(
      fc.property(fc.array(piece, { maxLength: 25 }), (parts) => {
        try {
          const formula = compileFormula(parts.join(""), names);
          const result = formula.evaluate(formula.uses.map(() => 2));
          expect(typeof result).toBe("number");
        } catch (error) {
          expect((error as Error).name).toBe("BellmouthError");
        }
        expect(({} as Record<string, unknown>)["polluted"]).toBeUndefined();
      }),
      fuzzRuns(3000, 8),
    );
  });

  it("is quick enough for every row of a log", () => {
    const formula = compileFormula("max(afr / 14.7, 0.5) * (rpm > 100 ? 1 : 0)", names);
    const values = [13, 3000];
    let sum = 0;
    const start = performance.now();
    for (let i = 0; i < 1_000_000; i++) {
      values[0] = 10 + (i % 10);
      sum += formula.evaluate(values);
    }
    const took = performance.now() - start;
    expect(sum).toBeGreaterThan(0);
    // Some 60 ms on a quiet machine; ten times that is still no burden.
    expect(took).toBeLessThan(1500);
  });
});
