import {
  dieselAtmosphericFactor,
  isInsideJ1349,
  powerCorrectionIso1585,
  powerCorrectionJ1349,
} from "bellmouth/air";
import { celsius, pascals } from "bellmouth/units";
import { describe, expect, it } from "vitest";
import { accuracy } from "../support/accuracy.js";
import { dataCsv } from "../support/data.js";
import { cell, worst } from "../support/worst.js";

// Forms and constants of both standards are from memory; each is therefore also held against the other, and against
// what both define: a factor of exactly 1 at 99 kPa dry and 25 °C.
describe("power-test correction", () => {
  const rows = dataCsv("reference/09a-power-correction.csv").map((row) => ({
    row,
    air: {
      dryPressure: pascals(100 * cell(row, "p_dry_hPa")),
      temperature: celsius(cell(row, "t_C")),
    },
  }));

  it("is coded as the standards write it", () => {
    const w = worst();
    for (const { row, air } of rows) {
      w.add(powerCorrectionJ1349(air), cell(row, "J1349_cf(273/298)"));
      w.add(powerCorrectionIso1585(air), cell(row, "ISO1585_alpha_a_SI"));
      w.add(dieselAtmosphericFactor(air, "naturallyAspirated"), cell(row, "ISO1585_fa_diesel_NA"));
      w.add(dieselAtmosphericFactor(air, "turbocharged"), cell(row, "ISO1585_fa_diesel_turbo"));
    }
    accuracy({
      id: "air-power-correction",
      area: "Air",
      what: "power-test correction, 900 to 1050 hPa, 10 to 35 °C",
      evidence: "from memory",
      source: "SAE J1349; ISO 1585:1992",
      ...w.result(),
      limit: 1e-5,
      unit: "relative, worst",
    });
  });

  it("of the two standards agrees inside their range", () => {
    const w = worst();
    for (const { air } of rows) {
      if (isInsideJ1349(air)) w.add(powerCorrectionJ1349(air), powerCorrectionIso1585(air));
    }
    accuracy({
      id: "air-power-correction-two-standards",
      area: "Air",
      what: "SAE J1349 against ISO 1585 inside their common range",
      evidence: "closed form",
      source: "SAE J1349; ISO 1585:1992",
      ...w.result(),
      limit: 3e-3,
      unit: "relative, worst",
    });
  });

  it("is exactly 1 in reference air, and knows its range", () => {
    const reference = { dryPressure: pascals(99_000), temperature: celsius(25) };
    expect(powerCorrectionJ1349(reference)).toBeCloseTo(1, 12);
    expect(powerCorrectionIso1585(reference)).toBeCloseTo(1, 12);
    expect(isInsideJ1349(reference)).toBe(true);
    expect(isInsideJ1349({ ...reference, temperature: celsius(10) })).toBe(false);
    expect(isInsideJ1349({ ...reference, dryPressure: pascals(89_000) })).toBe(false);
  });
});
