import { chokedMassFlux, criticalPressureRatio, isentropicRatios, machNumber, massFlux } from "bellmouth/air";
import { kelvins, kilogramsPerSecond, pascals, squareMetres } from "bellmouth/units";
import { describe, it } from "vitest";
import { accuracy } from "../support/accuracy.js";
import { dataCsv } from "../support/data.js";
import { cell, worst } from "../support/worst.js";

const NACA = "NACA Report 1135 (1953), gamma 1.4";

describe("isentropic flow", () => {
  const rows = dataCsv("reference/06a-isentropic-gamma1p4.csv");
  it("follows the tables", () => {
    const w = worst();
    const area = worst();
    for (const row of rows) {
      const r = isentropicRatios(cell(row, "M"));
      w.add(r.pressure, cell(row, "p_p0"), 1);
      w.add(r.density, cell(row, "rho_rho0"), 1);
      w.add(r.temperature, cell(row, "T_T0"), 1);
      w.add(r.massFlux, cell(row, "mdot_sqrt(R_T0)_over_A_p0"), 1);
      w.add(r.dynamicPressure, cell(row, "q_over_p0"), 1);
      w.add((1 - r.pressure) / r.dynamicPressure, cell(row, "pitot_compressibility_(p0-p)/q"), 1);
      area.add(r.area, cell(row, "A_Astar"), 1);
    }
    const shared = { area: "Air", evidence: "closed form", source: NACA } as const;
    accuracy({
      id: "air-isentropic",
      what: "isentropic ratios, Mach 0.05 to 1",
      ...shared,
      ...w.result(),
      limit: 1e-6,
      unit: "absolute, worst",
    });
    accuracy({
      id: "air-isentropic-area",
      what: "area over sonic area, Mach 0.05 to 1, as printed to five decimals",
      ...shared,
      ...area.result(),
      limit: 5.1e-6,
      unit: "absolute, worst",
    });
  });

  it("prints the report's own four digits at Mach 0.5", () => {
    // The printed line, from memory: p 0.8430, rho 0.8852, T 0.9524, A 1.340.
    const r = isentropicRatios(0.5);
    const w = worst();
    w.add(r.pressure, 0.843, 1);
    w.add(r.density, 0.8852, 1);
    w.add(r.temperature, 0.9524, 1);
    w.add(r.area, 1.34, 10);
    accuracy({
      id: "air-isentropic-printed",
      area: "Air",
      what: "isentropic ratios as printed, Mach 0.5",
      evidence: "from memory",
      source: NACA,
      ...w.result(),
      limit: 5e-5,
      unit: "half a unit of the last printed digit",
    });
  });

  it("solves Mach number from mass flow back to the table's", () => {
    const w = worst();
    const p0 = 101325;
    const T0 = 288.15;
    for (const row of rows) {
      const M = cell(row, "M");
      // The flat top at Mach 1 makes the table's sixth decimal worth 1e-3 of Mach number there.
      if (M === 1) continue;
      const flux = (cell(row, "mdot_sqrt(R_T0)_over_A_p0") * p0) / Math.sqrt(287.05287 * T0);
      const got = machNumber({
        massFlow: kilogramsPerSecond(flux * 1e-3),
        area: squareMetres(1e-3),
        stagnationPressure: pascals(p0),
        stagnationTemperature: kelvins(T0),
      });
      w.add(got, M, 1);
    }
    accuracy({
      id: "air-mach-from-flow",
      area: "Air",
      what: "Mach number solved from mass flow, Mach 0.05 to 0.8",
      evidence: "closed form",
      source: NACA,
      ...w.result(),
      limit: 3e-6,
      unit: "Mach, worst",
    });
  });
});

describe("choked flow", () => {
  it("follows the critical-flow function", () => {
    const w = worst();
    const ratio = worst();
    for (const row of dataCsv("reference/06b-choked-flow-air.csv")) {
      const from = {
        stagnationPressure: pascals(cell(row, "p0_Pa")),
        stagnationTemperature: kelvins(cell(row, "T0_K")),
      };
      w.add(chokedMassFlux(from), cell(row, "mass_flux_kg_s_m2"));
      w.add(massFlux({ ...from, pressure: pascals(40_000) }).massFlux, cell(row, "mass_flux_kg_s_m2"));
      ratio.add(criticalPressureRatio(), cell(row, "critical_pressure_ratio"));
    }
    const shared = {
      area: "Air",
      evidence: "closed form",
      source: "ISO 9300; NACA Report 1135 (1953)",
      limit: 1e-5,
      unit: "relative, worst",
    } as const;
    accuracy({ id: "air-choked-flux", what: "mass flux of a sonic throat", ...shared, ...w.result() });
    accuracy({ id: "air-critical-ratio", what: "critical pressure ratio", ...shared, ...ratio.result() });
  });
});
