import {
  airConductivity,
  airConductivityAtDensity,
  airViscosity,
  airViscosityAtDensity,
  airViscositySutherland,
} from "bellmouth/air";
import { kelvins } from "bellmouth/units";
import { describe, it } from "vitest";
import { accuracy } from "../support/accuracy.js";
import { dataCsv } from "../support/data.js";
import { cell, worst } from "../support/worst.js";

const LEMMON = "Lemmon, Jacobsen, Int. J. Thermophysics 25 (2004) 21-69";
const rows = dataCsv("reference/03-air-viscosity-conductivity.csv");

describe("viscosity and conductivity of air", () => {
  it("reproduce the paper's check values, dilute and dense", () => {
    // Table of check values in the paper: T [K], density [mol/dm^3], viscosity [uPa s] or conductivity [mW/(m K)].
    const w = worst();
    w.add(1e6 * airViscosityAtDensity(kelvins(100), 0), 7.09559);
    w.add(1e6 * airViscosityAtDensity(kelvins(300), 0), 18.523);
    w.add(1e6 * airViscosityAtDensity(kelvins(200), 10_000), 21.1392);
    w.add(1e6 * airViscosityAtDensity(kelvins(300), 5_000), 21.3241);
    w.add(1e3 * airConductivityAtDensity(kelvins(100), 0), 9.35902);
    w.add(1e3 * airConductivityAtDensity(kelvins(300), 0), 26.3529);
    w.add(1e3 * airConductivityAtDensity(kelvins(300), 5_000), 32.6062);
    accuracy({
      id: "air-transport-check-values",
      area: "Air",
      what: "viscosity and conductivity at the check values of their paper",
      evidence: "published values",
      source: LEMMON,
      ...w.result(),
      limit: 1e-5,
      unit: "relative, worst",
    });
  });

  it("follow an independent evaluation at one atmosphere, 223 to 500 K", () => {
    const mu = worst();
    const k = worst();
    for (const row of rows) {
      const T = kelvins(cell(row, "T_K"));
      mu.add(1e6 * airViscosity(T), cell(row, "mu_LemmonJacobsen2004_1atm_uPa_s"));
      k.add(1e3 * airConductivity(T), cell(row, "k_LemmonJacobsen2004_1atm_mW_mK"));
    }
    const shared = {
      area: "Air",
      evidence: "closed form",
      source: LEMMON,
      limit: 1e-4,
      unit: "relative, worst",
    } as const;
    accuracy({ id: "air-viscosity", what: "viscosity, 223 to 500 K", ...shared, ...mu.result() });
    accuracy({ id: "air-conductivity", what: "conductivity, 223 to 500 K", ...shared, ...k.result() });
  });

  it("by Sutherland's law are coded as the standard atmosphere has it, and stay within 0.7 %", () => {
    const coding = worst();
    const physics = worst();
    for (const row of rows) {
      const T = kelvins(cell(row, "T_K"));
      // The column prints six digits.
      coding.add(1e6 * airViscositySutherland(T), cell(row, "mu_USSA1976_uPa_s"));
      if (T <= 350) physics.add(airViscositySutherland(T), airViscosity(T));
    }
    accuracy({
      id: "air-viscosity-sutherland",
      area: "Air",
      what: "viscosity by the standard atmosphere's Sutherland law",
      evidence: "other implementation",
      source: "U.S. Standard Atmosphere 1976",
      ...coding.result(),
      limit: 5e-6,
      unit: "relative, worst",
    });
    accuracy({
      id: "air-viscosity-sutherland-against-correlation",
      area: "Air",
      what: "Sutherland's law against the correlation in use, 223 to 350 K",
      evidence: "other implementation",
      source: LEMMON,
      ...physics.result(),
      limit: 7e-3,
      unit: "relative, worst",
    });
  });
});
