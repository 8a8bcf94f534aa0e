import { flowFunction, orificeFlow } from "@bellmouth/simulator";
import { massFlux } from "bellmouth/air";
import { celsius, pascals } from "bellmouth/units";
import { describe, it } from "vitest";
import { accuracy } from "../support/accuracy.js";
import { dataCsv } from "../support/data.js";

const relative = (value: number, reference: number): number => Math.abs(value / reference - 1);

describe("orifice flow of the simulated throttle and leak", () => {
  it("follows the isentropic tables", () => {
    // NACA Report 1135 (1953), gamma 1.4, subsonic rows: pressure ratio against flow parameter.
    const rows = dataCsv("reference/06a-isentropic-gamma1p4.csv").filter((row) => Number(row["M"]) <= 1);
    const deviations = rows.map((row) =>
      relative(flowFunction(Number(row["p_p0"])), Number(row["mdot_sqrt(R_T0)_over_A_p0"])),
    );
    accuracy({
      id: "simulator-orifice-subsonic",
      area: "Simulator",
      what: "subsonic flow parameter of throttle and leak",
      evidence: "published values",
      source: "NACA Report 1135 (1953), isentropic tables",
      compared: deviations.length,
      measured: Math.max(...deviations),
      // Pressure ratios are printed to six digits; near M = 0.05 the flow parameter magnifies that by about 300.
      limit: 3e-4,
      unit: "relative, worst",
    });
  });

  it("chokes as the tables say", () => {
    // ISO 9300 / NACA 1135; the table's gas constant is 287.055.
    const rows = dataCsv("reference/06b-choked-flow-air.csv");
    const deviations = rows.map((row) => {
      const flow = orificeFlow(1, Number(row["p0_Pa"]), 0.3 * Number(row["p0_Pa"]), Number(row["T0_K"]));
      return relative(flow, Number(row["mass_flux_kg_s_m2"]));
    });
    accuracy({
      id: "simulator-orifice-choked",
      area: "Simulator",
      what: "choked mass flux of throttle and leak",
      evidence: "published values",
      source: "NACA Report 1135 (1953), ISO 9300",
      compared: deviations.length,
      measured: Math.max(...deviations),
      limit: 1e-5,
      unit: "relative, worst",
    });
  });

  it("agrees with the library's own isentropic flow, which shares no code with it", () => {
    const deviations: number[] = [];
    for (let ratio = 0.05; ratio < 1; ratio += 0.05) {
      const ours = orificeFlow(1, 99e3, ratio * 99e3, 293.15);
      const library = massFlux({
        stagnationPressure: pascals(99e3),
        stagnationTemperature: celsius(20),
        pressure: pascals(ratio * 99e3),
      });
      deviations.push(relative(ours, library.massFlux));
    }
    accuracy({
      id: "simulator-orifice-library",
      area: "Simulator",
      what: "mass flux of throttle and leak against the air room's isentropic flux",
      evidence: "other implementation",
      source: "bellmouth/air",
      compared: deviations.length,
      measured: Math.max(...deviations),
      limit: 2e-5, // the gas constants differ in the sixth digit
      unit: "relative, worst",
    });
  });
});
