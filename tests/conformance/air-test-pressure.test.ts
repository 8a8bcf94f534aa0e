import { flowAtTestDrop, flowAtTestDropCompressible, idealMassFlux, idealVelocity } from "bellmouth/air";
import {
  celsius,
  cubicFeetPerMinute,
  inH2O,
  kilogramsPerCubicMetre,
  pascals,
  squareInches,
  toCubicFeetPerMinute,
} from "bellmouth/units";
import { describe, it } from "vitest";
import { accuracy } from "../support/accuracy.js";
import { dataCsv } from "../support/data.js";
import { cell, worst } from "../support/worst.js";

describe("flow-bench test pressure", () => {
  it("converts by the square-root law", () => {
    const w = worst();
    for (const row of dataCsv("reference/14a-test-pressure-conversion.csv")) {
      const from = inH2O(cell(row, "dp_from_inH2O"));
      const to = inH2O(cell(row, "dp_to_inH2O"));
      w.add(
        flowAtTestDrop(cubicFeetPerMinute(1e6), from, to) / cubicFeetPerMinute(1e6),
        cell(row, "flow_ratio_sqrt"),
      );
    }
    accuracy({
      id: "air-test-drop",
      area: "Air",
      what: "flow at another test drop, 1.5 to 28 inH2O",
      evidence: "closed form",
      source: "Bernoulli; ISO 5167-1:2003",
      ...w.result(),
      limit: 1e-8,
      unit: "relative, worst",
    });
  });

  it("gives ideal speed, flow and mass flux at 15 °C", () => {
    const w = worst();
    const room = { pressure: pascals(101325), temperature: celsius(15) };
    for (const row of dataCsv("reference/14b-ideal-velocity-at-test-pressure.csv")) {
      const drop = inH2O(cell(row, "dp_inH2O_conv"));
      const speed = idealVelocity(drop, kilogramsPerCubicMetre(cell(row, "rho_15C")));
      w.add(speed, cell(row, "v_incompressible_m_s"));
      w.add((speed * squareInches(1)) / cubicFeetPerMinute(1), cell(row, "cfm_per_in2_ideal"));
      w.add(idealMassFlux(drop, room), cell(row, "mass_flux_isentropic_kg_s_m2"));
      // The ratio of compressible to square-root law from a drop so small that air does not expand.
      const tiny = inH2O(cell(row, "dp_inH2O_conv") / 1e4);
      const small = flowAtTestDropCompressible(cubicFeetPerMinute(1), tiny, drop, room);
      const law = flowAtTestDrop(cubicFeetPerMinute(1), tiny, drop);
      w.add(toCubicFeetPerMinute(small) / toCubicFeetPerMinute(law), cell(row, "ratio_compressible"));
    }
    accuracy({
      id: "air-ideal-nozzle",
      area: "Air",
      what: "ideal speed, flow per square inch and isentropic mass flux, 3 to 28 inH2O",
      evidence: "closed form",
      source: "NACA Report 1135 (1953); Bernoulli",
      ...w.result(),
      limit: 1e-5,
      unit: "relative, worst",
    });
  });
});
