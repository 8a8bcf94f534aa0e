import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { isFault } from "../fault/index.js";
import { quantity, quantityText, readQuantity, readSpan, readUncertain } from "./quantity-text.js";
import { type Dimension, UNIT_LIST, unitsFor } from "./unit-list.js";
import { unitScale } from "./unit-scale.js";

/** The fault a call throws. */
function faultOf(call: () => unknown): { code: string; message: string } {
  try {
    call();
  } catch (error) {
    if (isFault(error)) return { code: error.code, message: error.message };
    throw error;
  }
  throw new Error("nothing was thrown");
}

describe("readQuantity", () => {
  it.each([
    ["3.6 lb/min", "mass flow", (3.6 * 0.45359237) / 60],
    ["28 inH2O", "pressure difference", 28 * 249.08891],
    ["85 degF", "temperature", ((85 + 459.67) * 5) / 9],
    ["85 degF", "temperature difference", (85 * 5) / 9],
    ["5 K", "temperature difference", 5],
    ["-40 °C", "temperature", 233.15],
    ["101.325 kPa absolute", "pressure", 101325],
    ["14.7 psia", "pressure", 14.7 * 6894.757293168361],
    ["1 bar abs", "pressure", 1e5],
    ["2.5 kPa gauge", "pressure difference", 2500],
    ["76mm", "length", 0.076],
    ["6500 rpm", "rotational speed", 6500 / 60],
    ["2.2 kΩ", "resistance", 2200],
    ["1 us", "time", 1e-6],
    ["2 %", "ratio", 0.02],
    ["0.95", "ratio", 0.95],
    ["1 PS", "power", 735.49875],
    ["1 hp", "power", 745.6998715822702],
    ["300 cfm at 1.2 kg/m^3", "mass flow", ((300 * 0.3048 ** 3) / 60) * 1.2],
    ["\u22125 degC", "temperature", 268.15],
    ["3.6\u00a0lb/min", "mass flow", (3.6 * 0.45359237) / 60],
  ] as const)("%s as a %s", (text, dimension, si) => {
    expect(quantity(text, dimension) / si).toBeCloseTo(1, 12);
  });

  it("takes a plain number from a document for a ratio only", () => {
    expect(quantity(0.95, "ratio")).toBe(0.95);
    expect(faultOf(() => quantity(70, "length"))).toMatchObject({
      code: "E_UNIT",
      message: expect.stringMatching(
        /needs its unit \(found '70' without a unit; accepted: mm, cm, m, um, in, ft\)/,
      ),
    });
  });

  it.each([
    ["3.6 LB/MIN", "mass flow", "E_UNIT", "did you mean 'lb/min'?"],
    ["3.6 lb/mn", "mass flow", "E_UNIT", "did you mean 'lb/min'?"],
    ["3,6 lb/min", "mass flow", "E_NUMBER", "the decimal mark is a point"],
    ["1,200 g/s", "mass flow", "E_NUMBER", "digits are not grouped"],
    ["1 200 g/s", "mass flow", "E_NUMBER", "digits are not grouped"],
    ["NaN g/s", "mass flow", "E_NUMBER", "not a finite number"],
    [".nan", "mass flow", "E_NUMBER", "not a finite number"],
    ["Infinity", "mass flow", "E_NUMBER", "not a finite number"],
    ["1e999 g/s", "mass flow", "E_NUMBER", "a double can hold"],
    ["0x10 mm", "length", "E_NUMBER", "not hexadecimal"],
    ["~70 mm", "length", "E_NUMBER", "sign of comparison"],
    ["1.2.3 mm", "length", "E_NUMBER", "not a number"],
    ["", "length", "E_NUMBER", "a number is missing"],
    ["seventy mm", "length", "E_NUMBER", "not a number"],
    ["70 kg", "length", "E_UNIT", "the unit of a mass where a length is meant"],
    ["300 cfm", "mass flow", "E_UNIT", "a volume is no mass until its density is known"],
    ["300 scfm", "mass flow", "E_UNIT", "standard volume flow has no single standard"],
    ["300 cfm at 1.2", "mass flow", "E_UNIT", "after 'at' stands a density"],
    ["300 cfm at 998 kg/m^3", "mass flow", "E_UNIT", "not a density of air"],
    ["101.3 kPa", "pressure", "E_UNIT", "write 'kPa absolute' if it is"],
    ["5 psig", "pressure", "E_UNIT", "add the barometer"],
    ["5 kPa gauge", "pressure", "E_UNIT", "add the barometer"],
    ["100 kPa absolute", "pressure difference", "E_UNIT", "an absolute pressure where a difference"],
    ["14.7 psia absolute", "pressure", "E_UNIT", "says absolute already"],
    ["5 V absolute", "voltage", "E_UNIT", "belongs to pressures only"],
    ["-300 degC", "temperature", "E_DOMAIN", "outside the accepted range"],
    ['3.5"', "length", "E_UNIT", "not a unit this reads: write in"],
    ["152 ci", "volume", "E_UNIT", "write in^3"],
    ["2 7/8 in", "length", "E_NUMBER", "written as decimals"],
    ["5 constructor", "length", "E_UNIT", "not a unit"],
    ["5 __proto__", "length", "E_UNIT", "not a unit"],
    ["85 deg", "temperature", "E_UNIT", "say which degrees"],
  ] as const)("refuses %s as a %s", (text, dimension, code, words) => {
    const fault = faultOf(() => readQuantity(text, dimension));
    expect(fault.code).toBe(code);
    expect(fault.message).toContain(words);
  });

  it("states a range in the unit that was written", () => {
    const fault = faultOf(() => quantity("0 mm", "length", { range: { over: 0, to: 0.5 } }));
    expect(fault.message).toContain("found '0 mm'; accepted: > 0 mm and <= 500 mm");
    expect(fault.code).toBe("E_DOMAIN");
  });

  it("asks whether a percentage was meant where a hundredth would do", () => {
    const range = { from: 0.1, to: 1.5 };
    expect(faultOf(() => quantity("95", "ratio", { range })).message).toContain("its sign: '95 %'");
    expect(faultOf(() => quantity("950", "ratio", { range })).message).not.toContain("its sign");
    expect(faultOf(() => quantity("950 %", "ratio", { range })).message).not.toContain("its sign");
  });

  it("asks for the % sign where a bare number could be either", () => {
    expect(quantity("2 %", "ratio", { percent: true })).toBe(0.02);
    expect(faultOf(() => quantity("2", "ratio", { percent: true })).message).toContain("this needs a % sign");
  });
});

describe("readUncertain", () => {
  it.each([
    ["70 mm ± 0.1 mm", "length", 0.07, 1e-4],
    ["70 ± 0.1 mm", "length", 0.07, 1e-4],
    ["70 mm +- 0.1", "length", 0.07, 1e-4],
    ["7 cm +/- 0.1 mm", "length", 0.07, 1e-4],
    ["70 mm", "length", 0.07, 0],
    ["0.6 ± 0.2", "ratio", 0.6, 0.2],
    ["95 % ± 3 %", "ratio", 0.95, 0.03],
    ["210 g/s ± 3 %", "mass flow", 0.21, 0.0063],
    ["70 mm ± 0.3 mm limits", "length", 0.07, 3e-4 / Math.sqrt(3)],
    ["70 mm ± 0.2 mm at 95 %", "length", 0.07, 2e-4 / 1.959963984540054],
    ["20 degC ± 2 degF", "temperature", 293.15, 10 / 9],
    ["101.3 kPa absolute ± 0.2 kPa", "pressure", 101300, 200],
    ["14.7 psia ± 0.1 psi", "pressure", 14.7 * 6894.757293168361, 689.4757293168361],
  ] as const)("%s", (text, dimension, value, u) => {
    const reading = readUncertain(text, dimension);
    expect(reading.value).toBeCloseTo(value, 9);
    expect(reading.u).toBeCloseTo(u, 12 - Math.ceil(Math.log10(Math.max(1, u))));
  });

  it.each([
    ["70 mm ± -0.1 mm", "E_NUMBER"],
    ["70 mm ± ", "E_NUMBER"],
    ["70 mm ± 1 kg", "E_UNIT"],
    ["1 mm ± 2 mm ± 3 mm", "E_NUMBER"],
  ])("refuses %s", (text, code) => {
    expect(faultOf(() => readUncertain(text, "length")).code).toBe(code);
  });

  it("does not guess what a % of a plain number or of a temperature is", () => {
    expect(faultOf(() => readUncertain("0.95 ± 2 %", "ratio")).message).toContain("unclear whether the %");
    expect(faultOf(() => readUncertain("20 degC ± 2 %", "temperature")).message).toContain(
      "depends on its zero",
    );
  });
});

describe("readSpan", () => {
  it.each([
    ["0 .. 0.3", "ratio", 0, 0.3],
    ["0..0.3", "ratio", 0, 0.3],
    ["0.3", "ratio", 0.3, 0.3],
    ["30 Hz .. 11 kHz", "frequency", 30, 11000],
    ["0.2 .. 4.8 V", "voltage", 0.2, 4.8],
  ] as const)("%s", (text, dimension, from, to) => {
    expect(readSpan(text, dimension)).toMatchObject({ from, to });
  });
  it.each([
    ["0.5 .. 0.3", "ratio", "E_ORDER"],
    ["1 .. 2 .. 3", "ratio", "E_NUMBER"],
    ["0 ...", "ratio", "E_NUMBER"],
    ["0 .. 5", "voltage", "E_UNIT"],
    ["1-11 kHz", "frequency", "E_NUMBER"],
    ["1 kHz - 11 kHz", "frequency", "E_NUMBER"],
    ["0 to 0.3", "ratio", "E_NUMBER"],
  ] as const)("refuses %s", (text, dimension, code) => {
    expect(faultOf(() => readSpan(text, dimension)).code).toBe(code);
  });
  it("does not take an exponent for a dash", () => {
    expect(readSpan("1e-3 V", "voltage")).toMatchObject({ from: 1e-3, to: 1e-3 });
    expect(readSpan("1e-3 .. 2e-1", "ratio")).toMatchObject({ from: 1e-3, to: 0.2 });
  });
});

describe("the unit list", () => {
  const dimensions: readonly Dimension[] = [
    "length",
    "area",
    "volume",
    "time",
    "speed",
    "mass",
    "mass flow",
    "volume flow",
    "density",
    "pressure",
    "pressure difference",
    "temperature",
    "temperature difference",
    "frequency",
    "voltage",
    "resistance",
    "power",
    "rotational speed",
    "ratio",
    "count",
  ]; // prettier-ignore

  it("spells nothing twice", () => {
    const spellings = UNIT_LIST.flatMap((entry) => [entry.spelling, ...entry.aliases]);
    expect(new Set(spellings).size).toBe(spellings.length);
  });

  it("offers only units that its own reader takes", () => {
    let read = 0;
    for (const dimension of dimensions) {
      for (const unit of unitsFor(dimension)) {
        if (unit === "a plain number") continue;
        expect(unitScale(unit, dimension).factor).toBeGreaterThan(0);
        read++;
      }
    }
    expect(read).toBeGreaterThan(80);
  });

  it("reads back what it writes, in every unit (property)", () => {
    const pairs = dimensions.flatMap((dimension) =>
      unitsFor(dimension)
        .filter((unit) => unit !== "a plain number")
        .map((unit) => [dimension, unit] as const),
    );
    fc.assert(
      fc.property(
        fc.constantFrom(...pairs),
        fc.double({ min: 1e-9, max: 1e9, noNaN: true }),
        ([dimension, unit], value) => {
          const again = quantity(quantityText(value, unit, dimension), dimension);
          // One rounding each way, in units of the larger of value and zero point.
          const size = Math.max(value, unitScale(unit, dimension).offset);
          expect(Math.abs(again - value)).toBeLessThanOrEqual(4 * Number.EPSILON * size);
        },
      ),
      { numRuns: 2000, seed: 11 },
    );
  });

  it("writes round figures round", () => {
    expect(quantityText(0.21, "g/s", "mass flow")).toBe("210 g/s");
    expect(quantityText(101325, "kPa absolute", "pressure")).toBe("101.325 kPa absolute");
  });
});
