import * as u from "bellmouth/units";
import { describe, expect, it } from "vitest";
import { accuracy } from "../support/accuracy.js";
import { dataCsv } from "../support/data.js";
import { cell, worst } from "../support/worst.js";

const SP811 = "NIST Special Publication 811 (2008), appendix B";

/** One unit of each row in the row's target unit, through the constructors. */
const ways: Record<string, () => number> = {
  "lb>kg": () => u.pounds(1),
  "in>m": () => u.inches(1),
  "ft^3>m^3": () => u.cubicFeet(1),
  "cfm>m^3/s": () => u.cubicFeetPerMinute(1),
  "cfm>L/s": () => u.toLitresPerSecond(u.cubicFeetPerMinute(1)),
  "lbf>N": () => u.poundsForce(1),
  "psi>Pa": () => u.psi(1),
  "inH2O conventional>Pa": () => u.inH2O(1),
  "inH2O (4 C / 39.2 F)>Pa": () => u.inH2O4C(1),
  "inH2O (60 F)>Pa": () => u.inH2O60F(1),
  "mmH2O conventional>Pa": () => u.mmH2O(1),
  "inHg conventional>Pa": () => u.inHg(1),
  "inHg (60 F)>Pa": () => u.inHg60F(1),
  "mmHg conventional>Pa": () => u.mmHg(1),
  "Torr>Pa": () => u.torr(1),
  "atm>Pa": () => u.atmospheres(1),
  "bar>Pa": () => u.bars(1),
  "hp (550 ft lbf/s)>W": () => u.horsepower(1),
  "hp (metric)>W": () => u.metricHorsepower(1),
  "lb/min>kg/s": () => u.poundsPerMinute(1),
  "lb/min>g/s": () => u.toGramsPerSecond(u.poundsPerMinute(1)),
  "lb/h>kg/s": () => u.poundsPerHour(1),
  "lb/hp/h>kg/J": () => u.poundsPerHorsepowerHour(1),
  "lb/ft^3>kg/m^3": () => u.poundsPerCubicFoot(1),
  "kg/h>g/s": () => u.toGramsPerSecond(u.kilogramsPerHour(1)),
  "lbf ft>N m": () => u.poundFeet(1),
  "Btu_IT>J": () => u.btu(1),
};

describe("units", () => {
  it("carry the factors of the definitions, each row used", () => {
    const exact = worst();
    const adopted = worst();
    const rows = dataCsv("reference/13a-unit-factors.csv");
    for (const row of rows) {
      const way = ways[`${row["from"]}>${row["to"]}`];
      if (way === undefined) throw new Error(`no way for ${JSON.stringify(row)}`);
      const byDensity = /\((4 C|60 F)/.test(row["from"] ?? "");
      (byDensity ? adopted : exact).add(way(), cell(row, "factor_from_definitions"));
    }
    expect(rows.length).toBe(Object.keys(ways).length);
    const shared = {
      area: "Units",
      evidence: "published values",
      source: SP811,
      unit: "relative, worst",
    } as const;
    accuracy({
      id: "units-exact",
      what: "factors fixed by definition",
      ...shared,
      ...exact.result(),
      limit: 1e-9,
    });
    accuracy({
      id: "units-adopted-density",
      what: "columns of water and mercury at 4 °C and 60 °F, which rest on an adopted density",
      ...shared,
      ...adopted.result(),
      limit: 1e-5,
    });
  });

  it("convert temperatures", () => {
    const w = worst();
    for (const row of dataCsv("reference/13b-temperature.csv")) {
      const T = u.fahrenheit(cell(row, "F"));
      w.add(u.toCelsius(T), cell(row, "C"), 1);
      w.add(T, cell(row, "K"), 1);
      w.add(u.toRankine(T), cell(row, "R"), 1);
      w.add(u.celsius(cell(row, "C")), cell(row, "K"), 1);
      w.add(u.rankine(cell(row, "R")), cell(row, "K"), 1);
      w.add(u.toFahrenheit(T), cell(row, "F"), 1);
    }
    accuracy({
      id: "units-temperature",
      area: "Units",
      what: "temperature scales, -459.67 to 212 °F",
      evidence: "published values",
      source: SP811,
      ...w.result(),
      // The table rounds thirds of a degree to seven or eight decimals.
      limit: 5e-8,
      unit: "K, worst",
    });
  });

  it("convert the flows and powers that tuners compare", () => {
    const flow = (value: number) => u.gramsPerSecond(value);
    const got: Record<string, () => number> = {
      "100 g/s>lb/min": () => u.toPoundsPerMinute(flow(100)),
      "100 g/s>kg/h": () => u.toKilogramsPerHour(flow(100)),
      "100 g/s at 1.2250 kg/m3>cfm": () =>
        u.toCubicFeetPerMinute(u.cubicMetresPerSecond(flow(100) / u.kilogramsPerCubicMetre(1.225))),
      "655.35 g/s>lb/min": () => u.toPoundsPerMinute(flow(655.35)),
      "1 lb/min>kg/h": () => u.toKilogramsPerHour(u.poundsPerMinute(1)),
      "300 hp mech>kW": () => u.toKilowatts(u.horsepower(300)),
    };
    const w = worst();
    for (const row of dataCsv("reference/13c-flow-examples.csv")) {
      const way = got[`${row["input"]} ${row["unit"]}>${row["unit_out"]}`];
      if (way === undefined) throw new Error(`no way for ${JSON.stringify(row)}`);
      w.add(way(), cell(row, "output"));
    }
    accuracy({
      id: "units-flow-examples",
      area: "Units",
      what: "worked conversions of air flow and power",
      evidence: "closed form",
      source: SP811,
      ...w.result(),
      // Half a unit of the ninth digit, which is where the coarsest row of the table ends.
      limit: 3e-9,
      unit: "relative, worst",
    });
  });
});
