// The library beside two independent implementations, SciPy and fluids. tests/cross/record.py (`pnpm run cross:record`)
// asks them; their answers are recorded, with versions, so that a test run needs no Python.
import {
  airViscositySutherland,
  chokedMassFlux,
  criticalPressureRatio,
  type DifferentialMeter,
  frictionFactorColebrook,
  frictionFactorHaaland,
  geopotentialAltitude,
  isentropicRatios,
  machNumber,
  massFlux,
  meterFlow,
  permanentLoss,
  standardAtmosphere,
} from "bellmouth/air";
import { evaluateCurve, makeCurve } from "bellmouth/curve";
import { lossOnSection, suddenContraction, suddenExpansion } from "bellmouth/intake";
import {
  kelvins,
  kilogramsPerCubicMetre,
  kilogramsPerSecond,
  metres,
  pascalSeconds,
  pascals,
  pascalsDifference,
  squareMetres,
} from "bellmouth/units";
import { describe, expect, it } from "vitest";
import { accuracy } from "../support/accuracy.js";
import { dataJson } from "../support/data.js";
import { worst } from "../support/worst.js";

type Row<Names extends string> = { readonly [name in Names]: number };

interface Recording {
  readonly "made by": { readonly [tool in "python" | "numpy" | "scipy" | "fluids"]: string };
  readonly pchip: readonly { readonly [list in "x" | "y" | "at" | "value"]: readonly number[] }[];
  readonly isentropic: Row<
    "stagnationPressure" | "stagnationTemperature" | "criticalPressureRatio" | "chokedMassFlux"
  > & {
    readonly expansion: readonly Row<"pressureRatio" | "massFlux" | "mach" | "temperatureRatio">[];
    readonly solved: readonly Row<"massFlux" | "mach">[];
  };
  readonly atmosphere: readonly Row<
    "geometricAltitude" | "temperature" | "pressure" | "density" | "speedOfSound" | "viscosity"
  >[];
  readonly viscosity: readonly Row<"temperature" | "viscosity">[];
  readonly losses: {
    readonly steps: readonly Row<"small" | "large" | "expansion" | "contraction" | "k" | "kOnSmall">[];
    readonly pipes: readonly Row<"reynolds" | "relativeRoughness" | "colebrook" | "haaland">[];
  };
  readonly meters: readonly (Row<
    | "diameter"
    | "throat"
    | "upstreamPressure"
    | "drop"
    | "density"
    | "viscosity"
    | "massFlow"
    | "reynolds"
    | "dischargeCoefficient"
    | "expansibility"
  > & { readonly kind: DifferentialMeter; readonly permanentLoss?: number })[];
}

const recording = dataJson<Recording>("cross/recorded.json");
const tools = recording["made by"];
const shared = { evidence: "other implementation", unit: "relative, worst" } as const;
const scipy = `SciPy ${tools.scipy}`;
const fluids = `fluids ${tools.fluids}`;
// Closed forms agree to rounding; what both solve by iteration, to the looser of the two stopping rules.
const ROUNDING = 1e-12;
const SOLVED = 1e-9;

describe("beside SciPy and fluids", () => {
  it("monotone cubic curves", () => {
    const w = worst();
    for (const { x, y, at, value } of recording.pchip) {
      const curve = makeCurve({
        x: { quantity: "ratio", values: x },
        y: { quantity: "ratio", values: y },
        between: "monotone cubic",
        outside: "refuse",
      });
      const span = Math.max(...y) - Math.min(...y) || 1;
      at.forEach((point, i) => {
        w.add(evaluateCurve(curve, point), value[i] as number, span);
      });
    }
    accuracy({
      ...shared,
      id: "cross-pchip",
      area: "Curves",
      what: "monotone cubic reading, rising, wavy and with flat parts, 2 to 128 breakpoints",
      source: `${scipy}, PchipInterpolator`,
      ...w.result(),
      limit: ROUNDING,
      unit: "of the table's span, worst",
    });
    expect(w.result().compared).toBe(18 * 22);
  });

  it("isentropic flow", () => {
    const { isentropic } = recording;
    const from = {
      stagnationPressure: pascals(isentropic.stagnationPressure),
      stagnationTemperature: kelvins(isentropic.stagnationTemperature),
    };
    const w = worst();
    w.add(criticalPressureRatio(), isentropic.criticalPressureRatio);
    w.add(chokedMassFlux(from), isentropic.chokedMassFlux);
    for (const row of isentropic.expansion) {
      const pressure = pascals(row.pressureRatio * from.stagnationPressure);
      const flux = massFlux({ ...from, pressure });
      w.add(flux.massFlux, row.massFlux);
      w.add(flux.mach, row.mach);
      w.add(isentropicRatios(row.mach).pressure, row.pressureRatio);
      w.add(isentropicRatios(row.mach).temperature, row.temperatureRatio);
    }
    for (const row of isentropic.solved) {
      const stream = { ...from, massFlow: kilogramsPerSecond(row.massFlux), area: squareMetres(1) };
      w.add(machNumber(stream), row.mach);
    }
    accuracy({
      ...shared,
      id: "cross-isentropic",
      area: "Air",
      what: "isentropic mass flux, Mach number and ratios against quadrature of the expansion",
      source: `${scipy} (quad, brentq); ${fluids} (critical pressure, temperature of an expansion)`,
      ...w.result(),
      limit: SOLVED,
    });
    expect(w.result().compared).toBe(2 + 8 * 4 + 5);
  });

  it("standard atmosphere, and its viscosity", () => {
    const w = worst();
    for (const row of recording.atmosphere) {
      const air = standardAtmosphere({
        geopotentialAltitude: geopotentialAltitude(metres(row.geometricAltitude)),
      });
      for (const name of ["temperature", "pressure", "density", "speedOfSound", "viscosity"] as const) {
        w.add(air[name], row[name]);
      }
    }
    accuracy({
      ...shared,
      id: "cross-atmosphere",
      area: "Air",
      what: "standard day at geometric altitudes from -1000 to 10,000 m, five properties",
      // Both round the hydrostatic constant and the gas constant in their seventh digit.
      source: `${fluids}, ATMOSPHERE_1976`,
      ...w.result(),
      limit: 1e-6,
    });
    const v = worst();
    for (const row of recording.viscosity) {
      v.add(airViscositySutherland(kelvins(row.temperature)), row.viscosity);
    }
    accuracy({
      ...shared,
      id: "cross-viscosity",
      area: "Air",
      what: "viscosity by Sutherland's law, -40 to 100 degC",
      source: `${fluids}, ATMOSPHERE_1976.viscosity`,
      ...v.result(),
      limit: ROUNDING,
    });
    expect(w.result().compared + v.result().compared).toBe(13 * 5 + 9);
  });

  it("losses of steps and pipes", () => {
    const w = worst();
    for (const row of recording.losses.steps) {
      const small = squareMetres(row.small);
      const large = squareMetres(row.large);
      w.add(suddenExpansion(small, large), row.expansion);
      w.add(suddenContraction(large, small), row.contraction);
      w.add(lossOnSection(row.k, large, small), row.kOnSmall);
    }
    accuracy({
      ...shared,
      id: "cross-steps",
      area: "Restriction",
      what: "losses of sudden steps, and of one referred to another section",
      source: `${fluids}, diffuser_sharp, contraction_sharp (Crane), change_K_basis`,
      ...w.result(),
      limit: ROUNDING,
    });
    const p = worst();
    for (const row of recording.losses.pipes) {
      p.add(frictionFactorColebrook(row.reynolds, row.relativeRoughness), row.colebrook);
      p.add(frictionFactorHaaland(row.reynolds, row.relativeRoughness), row.haaland);
    }
    accuracy({
      ...shared,
      id: "cross-friction",
      area: "Air",
      what: "pipe friction by Colebrook (solved) and Haaland",
      source: `${fluids}, friction.Colebrook, friction.Haaland`,
      ...p.result(),
      limit: SOLVED,
    });
    expect(w.result().compared + p.result().compared).toBe(30 * 3 + 30 * 2);
  });

  it("orifice plates, nozzles and venturi tubes", () => {
    const w = worst();
    const loss = worst();
    for (const row of recording.meters) {
      const meter = { kind: row.kind, diameter: metres(row.diameter), throat: metres(row.throat) };
      const drop = pascalsDifference(row.drop);
      const flow = meterFlow(meter, {
        upstreamPressure: pascals(row.upstreamPressure),
        drop,
        density: kilogramsPerCubicMetre(row.density),
        viscosity: pascalSeconds(row.viscosity),
      });
      for (const name of ["massFlow", "reynolds", "dischargeCoefficient", "expansibility"] as const) {
        w.add(flow[name], row[name]);
      }
      if (row.permanentLoss !== undefined) {
        loss.add(permanentLoss(meter, drop, row.dischargeCoefficient), row.permanentLoss);
      }
    }
    accuracy({
      ...shared,
      id: "cross-meters",
      area: "Air",
      what: "flow, Reynolds number, discharge and expansibility of six kinds of meter, solved",
      source: `${fluids}, differential_pressure_meter_solver`,
      ...w.result(),
      limit: SOLVED,
    });
    accuracy({
      ...shared,
      id: "cross-meter-loss",
      area: "Air",
      what: "permanent loss of orifice plates",
      source: `${fluids}, dP_orifice`,
      ...loss.result(),
      limit: ROUNDING,
    });
    expect(w.result().compared + loss.result().compared).toBe(48 * 4 + 24);
  });
});
