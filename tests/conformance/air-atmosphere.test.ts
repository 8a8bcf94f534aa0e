import { geopotentialAltitude, standardAtmosphere } from "bellmouth/air";
import { metres } from "bellmouth/units";
import { describe, it } from "vitest";
import { accuracy } from "../support/accuracy.js";
import { dataCsv } from "../support/data.js";
import { cell, worst } from "../support/worst.js";

const SOURCE = "U.S. Standard Atmosphere 1976; ISO 2533:1975";

describe("standard atmosphere", () => {
  it("follows the tables on both altitude bases", () => {
    const T = worst();
    const p = worst();
    const rho = worst();
    const a = worst();
    const mu = worst();
    const k = worst();
    const h = worst();
    for (const row of dataCsv("reference/01-standard-atmosphere.csv")) {
      const given = metres(cell(row, "altitude_m"));
      const altitude = row["altitude_basis"] === "geometric" ? geopotentialAltitude(given) : given;
      const air = standardAtmosphere({ geopotentialAltitude: altitude });
      h.add(altitude, cell(row, "geopotential_m"), 1);
      T.add(air.temperature, cell(row, "T_K"), 1);
      p.add(air.pressure, cell(row, "p_Pa"));
      rho.add(air.density, cell(row, "rho_kg_m3"));
      a.add(air.speedOfSound, cell(row, "sound_speed_m_s"));
      mu.add(air.viscosity, cell(row, "mu_Pa_s"));
      k.add(air.conductivity, cell(row, "k_W_mK"));
    }
    const row = (id: string, what: string, w: typeof T, limit: number, unit = "relative, worst"): void =>
      accuracy({
        id: `air-atmosphere-${id}`,
        area: "Air",
        what: `standard atmosphere, 0 to 5000 m: ${what}`,
        evidence: "published values",
        source: SOURCE,
        ...w.result(),
        limit,
        unit,
      });
    row("altitude", "geopotential from geometric altitude", h, 1e-3, "m, worst");
    row("temperature", "temperature", T, 1e-3, "K, worst");
    row("pressure", "pressure", p, 1e-5);
    row("density", "density", rho, 1e-5);
    row("sound", "speed of sound", a, 1e-5);
    row("viscosity", "viscosity", mu, 1e-5);
    row("conductivity", "conductivity", k, 1e-3);
  });
});
