import {
  airDensity,
  airDensityCipm2007,
  saturationVapourPressure,
  saturationVapourPressureCipm2007,
  saturationVapourPressureMagnus,
} from "bellmouth/air";
import { celsius, pascals } from "bellmouth/units";
import { describe, it } from "vitest";
import { accuracy } from "../support/accuracy.js";
import { dataCsv } from "../support/data.js";
import { cell, worst } from "../support/worst.js";

const PICARD = "Picard, Davis, Gläser, Fujii, CIPM-2007 density of moist air, Metrologia 45 (2008) 149-155";

describe("density of moist air", () => {
  const rows = dataCsv("reference/02a-cipm-2007-density.csv").map((row) => ({
    row,
    state: {
      pressure: pascals(cell(row, "p_Pa")),
      temperature: celsius(cell(row, "t_C")),
      relativeHumidity: cell(row, "rh_fraction"),
    },
  }));

  it("follows the CIPM-2007 equation", () => {
    const w = worst();
    for (const { row, state } of rows) {
      w.add(airDensityCipm2007(state, { carbonDioxide: cell(row, "x_CO2") }), cell(row, "rho_kg_m3"));
    }
    accuracy({
      id: "air-density-cipm",
      area: "Air",
      what: "density of moist air, CIPM-2007",
      evidence: "other implementation",
      source: `${PICARD}; values from independent implementations`,
      ...w.result(),
      limit: 2e-6,
      unit: "relative, worst",
    });
  });

  it("as an ideal mixture stays within the real-gas effect of CIPM-2007", () => {
    const w = worst();
    for (const { row, state } of rows) w.add(airDensity(state), cell(row, "rho_kg_m3"));
    accuracy({
      id: "air-density-ideal-mixture",
      area: "Air",
      what: "density of moist air as ideal gases against CIPM-2007, 0 to 40 °C",
      evidence: "other implementation",
      source: PICARD,
      ...w.result(),
      limit: 8e-4,
      unit: "relative, worst",
    });
  });

  it("agrees with the approximate equation of the weights recommendation inside that equation's range", () => {
    // OIML R 111-1 claims 2e-4 for 900-1100 hPa, 10-30 °C, up to 80 % humidity (from memory).
    const w = worst();
    for (const { row, state } of rows) {
      const inside =
        state.pressure >= 90_000 && state.pressure <= 110_000 && Math.abs(cell(row, "t_C") - 20) <= 10;
      if (inside) w.add(airDensityCipm2007(state), cell(row, "rho_OIML_R111_approx_kg_m3"));
    }
    accuracy({
      id: "air-density-oiml",
      area: "Air",
      what: "density of moist air, CIPM-2007 against the OIML approximation",
      evidence: "from memory",
      source: "OIML R 111-1:2004, annex E",
      ...w.result(),
      limit: 2e-4,
      unit: "relative, worst",
    });
  });
});

describe("saturation pressure of water", () => {
  const rows = dataCsv("reference/02c-saturation-vapour-pressure.csv");
  const held = (name: string): { t: number; p: number }[] =>
    rows.filter((row) => row[name] !== "").map((row) => ({ t: cell(row, "t_C"), p: cell(row, name) }));

  it("follows the handbook table, over ice and over water", () => {
    const w = worst();
    for (const { t, p } of held("ASHRAE2017_table_Pa")) w.add(saturationVapourPressure(celsius(t)), p);
    accuracy({
      id: "air-saturation-handbook",
      area: "Air",
      what: "saturation pressure, -20 to 100 °C, Hyland–Wexler",
      evidence: "published values",
      source: "ASHRAE Handbook Fundamentals (2017), chapter 1, table 3",
      ...w.result(),
      limit: 3e-4,
      unit: "relative, worst",
    });
  });

  it("follows the steam tables", () => {
    const w = worst();
    for (const { t, p } of held("IAPWS_IF97_Pa")) w.add(saturationVapourPressure(celsius(t)), p);
    accuracy({
      id: "air-saturation-steam-tables",
      area: "Air",
      what: "saturation pressure, 0.01 to 100 °C, Hyland–Wexler against IAPWS-IF97",
      evidence: "other implementation",
      source: "IAPWS Industrial Formulation 1997, region 4",
      ...w.result(),
      limit: 3e-4,
      unit: "relative, worst",
    });
  });

  it("of CIPM-2007 is coded as published", () => {
    const w = worst();
    for (const { t, p } of held("CIPM2007_Pa")) {
      if (t <= 60) w.add(saturationVapourPressureCipm2007(celsius(t)), p);
    }
    accuracy({
      id: "air-saturation-cipm",
      area: "Air",
      what: "saturation pressure as CIPM-2007 defines it, 0.01 to 60 °C",
      evidence: "other implementation",
      source: PICARD,
      ...w.result(),
      limit: 1e-6,
      unit: "relative, worst",
    });
  });

  it("by Magnus stays within 0.4 % of the steam tables up to 50 °C", () => {
    const coding = worst();
    for (const { t, p } of held("Magnus_WMO8_Pa")) {
      if (t <= 60) coding.add(saturationVapourPressureMagnus(celsius(t)), p);
    }
    accuracy({
      id: "air-saturation-magnus-coding",
      area: "Air",
      what: "saturation pressure by Magnus as the meteorological guide writes it",
      evidence: "closed form",
      source: "WMO-No. 8, annex 4.B",
      ...coding.result(),
      limit: 1e-6,
      unit: "relative, worst",
    });
    const physics = worst();
    for (const { t, p } of held("IAPWS_IF97_Pa")) {
      if (t <= 50) physics.add(saturationVapourPressureMagnus(celsius(t)), p);
    }
    accuracy({
      id: "air-saturation-magnus",
      area: "Air",
      what: "saturation pressure by Magnus against IAPWS-IF97, 0 to 50 °C",
      evidence: "other implementation",
      source: "IAPWS Industrial Formulation 1997, region 4",
      ...physics.result(),
      limit: 4e-3,
      unit: "relative, worst",
    });
  });
});
