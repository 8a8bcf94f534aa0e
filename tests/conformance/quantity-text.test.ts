import { quantity, unitScale } from "bellmouth/text";
import { describe, expect, it } from "vitest";
import * as units from "../../packages/bellmouth/src/units/index.js";
import { accuracy } from "../support/accuracy.js";
import { dataCsv } from "../support/data.js";

/** Factors of the reference file that text can be written in, as [unit, dimension, SI per unit of the file's `to`]. */
const FACTORS = {
  lb: ["lb", "mass", 1],
  in: ["in", "length", 1],
  "ft^3": [undefined, "volume", 1],
  "inH2O conventional": ["inH2O", "pressure difference", 1],
  "mmH2O conventional": ["mmH2O", "pressure difference", 1],
  "inHg conventional": ["inHg", "pressure difference", 1],
  "mmHg conventional": ["mmHg", "pressure difference", 1],
  Torr: ["Torr", "pressure difference", 1],
  psi: ["psi", "pressure difference", 1],
  atm: ["atm", "pressure difference", 1],
  bar: ["bar", "pressure difference", 1],
  "hp (550 ft lbf/s)": ["hp", "power", 1],
  "hp (metric)": ["PS", "power", 1],
  "lb/h": ["lb/h", "mass flow", 1],
  "lb/ft^3": ["lb/ft^3", "density", 1],
  "kg/h": ["kg/h", "mass flow", 1e-3],
} as const;

describe("text with units against published factors", () => {
  it("agrees with NIST SP 811 factors", () => {
    let worst = 0;
    let compared = 0;
    for (const row of dataCsv("reference/13a-unit-factors.csv")) {
      const from = row["from"] ?? "";
      const published = Number(row["factor_from_definitions"]);
      const known = FACTORS[from as keyof typeof FACTORS];
      const [unit, dimension, perTo] = known ?? [undefined, undefined, 1];
      const twice: readonly (readonly [string, "volume flow" | "mass flow", number])[] =
        from === "cfm"
          ? [["cfm", "volume flow", row["to"] === "L/s" ? 1e-3 : 1]]
          : from === "lb/min"
            ? [["lb/min", "mass flow", row["to"] === "g/s" ? 1e-3 : 1]]
            : [];
      for (const [text, what, si] of unit === undefined ? twice : [[unit, dimension, perTo] as const]) {
        const found = quantity(`1 ${text}`, what);
        worst = Math.max(worst, Math.abs(found / (published * si) - 1));
        compared++;
      }
    }
    expect(compared).toBe(19);
    accuracy({
      id: "units-text-sp811",
      area: "Units",
      what: "units given as text, against exact definitions",
      evidence: "published values",
      source: "NIST SP 811 (2008), appendix B",
      compared,
      measured: worst,
      limit: 1e-9,
      unit: "relative, worst",
    });
  });

  it("reads temperatures as the published table does", () => {
    let worst = 0;
    const rows = dataCsv("reference/13b-temperature.csv");
    for (const row of rows) {
      const kelvins = Number(row["K"]);
      // 0 K is the one temperature no air has; the reader refuses it.
      if (kelvins === 0) continue;
      for (const text of [`${row["F"]} degF`, `${row["C"]} degC`, `${row["K"]} K`, `${row["R"]} degR`]) {
        worst = Math.max(worst, Math.abs(quantity(text, "temperature") - kelvins));
      }
    }
    accuracy({
      id: "units-text-temperature",
      area: "Units",
      what: "temperatures given as text on four scales",
      evidence: "published values",
      source: "NIST SP 811 (2008), appendix B.8 and B.9 (definitions)",
      compared: rows.length - 1,
      measured: worst,
      limit: 1e-6,
      unit: "K, worst",
    });
  });

  it("agrees with the constructors of `units`", () => {
    const pairs = [
      [quantity("210 g/s", "mass flow"), units.gramsPerSecond(210)],
      [quantity("3.6 lb/min", "mass flow"), units.poundsPerMinute(3.6)],
      [quantity("900 kg/h", "mass flow"), units.kilogramsPerHour(900)],
      [quantity("28 inH2O", "pressure difference"), units.inH2O(28)],
      [quantity("29.92 inHg absolute", "pressure"), units.inHgAbsolute(29.92)],
      [quantity("14.7 psia", "pressure"), units.psia(14.7)],
      [quantity("0.5 psi", "pressure difference"), units.psi(0.5)],
      [quantity("760 mmHg", "pressure difference"), units.mmHg(760)],
      [quantity("85 degF", "temperature"), units.fahrenheit(85)],
      [quantity("20 degC", "temperature"), units.celsius(20)],
      [quantity("9 degF", "temperature difference"), units.fahrenheitDifference(9)],
      [quantity("76 mm", "length"), units.mm(76)],
      [quantity("3 in", "length"), units.inches(3)],
      [quantity("500 mm^2", "area"), units.mm2(500)],
      [quantity("2 in^2", "area"), units.squareInches(2)],
      [quantity("1998 cc", "volume"), units.cm3(1998)],
      [quantity("122 in^3", "volume"), units.cubicInches(122)],
      [quantity("300 cfm", "volume flow"), units.cubicFeetPerMinute(300)],
      [quantity("40 L/min", "volume flow"), units.litresPerMinute(40)],
      [quantity("6500 rpm", "rotational speed"), units.rpm(6500)],
      [quantity("300 hp", "power"), units.horsepower(300)],
      [quantity("300 PS", "power"), units.metricHorsepower(300)],
      [quantity("60 mph", "speed"), units.milesPerHour(60)],
      [quantity("100 km/h", "speed"), units.kilometresPerHour(100)],
      [quantity("2.2 kohm", "resistance"), units.kiloohms(2.2)],
      [quantity("11 kHz", "frequency"), units.kilohertz(11)],
      [quantity("4500 mV", "voltage"), units.millivolts(4500)],
    ] as const;
    for (const [text, constructed] of pairs) expect(Math.abs(text / constructed - 1)).toBeLessThan(1e-14);
  });

  it("converts the worked flows", () => {
    // 13c: 100 g/s at 1.2250 kg/m^3 is 172.969796 cfm; the density travels in the unit.
    expect(0.1 / unitScale("cfm at 1.2250 kg/m^3", "mass flow").factor).toBeCloseTo(172.969796, 6);
    expect(0.1 / unitScale("lb/min", "mass flow").factor).toBeCloseTo(13.22773573, 7);
    expect(0.65535 / unitScale("lb/min", "mass flow").factor).toBeCloseTo(86.68796611, 7);
    expect(quantity("300 hp", "power")).toBeCloseTo(223709.962, 2);
  });
});
