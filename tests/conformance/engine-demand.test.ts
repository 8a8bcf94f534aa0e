import {
  engineDemand,
  powerFromAirflow,
  stoichiometricAirFuelRatio,
  volumetricEfficiencyOf,
} from "bellmouth/intake";
import {
  celsius,
  cubicMetres,
  gramsPerKilowattHour,
  gramsPerSecond,
  kelvins,
  kilogramsPerSecond,
  litres,
  metres,
  pascals,
  poundsPerHorsepowerHour,
  rpm,
  toGramsPerKilowattHour,
  toGramsPerSecond,
  toHorsepower,
  toKilowatts,
  toMetricHorsepower,
} from "bellmouth/units";
import { describe, it } from "vitest";
import { accuracy } from "../support/accuracy.js";
import { dataCsv, dataJson } from "../support/data.js";

const area = "Engine demand";
const relative = (got: number, want: number): number => Math.abs(got / want - 1);

describe("air demand of an engine", () => {
  it("four-stroke formula on dry days, with and without boost", () => {
    const errors = dataCsv("reference/09b-four-stroke-airflow.csv").map((row) => {
      const n = (key: string): number => Number(row[key]);
      const engine = {
        displacement: litres(n("V_disp_L")),
        strokes: 4,
        speed: rpm(n("rpm")),
        volumetricEfficiency: { value: n("eta_v"), u: 0 },
        manifoldPressure: pascals(n("p_Pa")),
        chargeTemperature: kelvins(n("T_K")),
      } as const;
      const day = { temperature: celsius(20), pressure: pascals(100000), relativeHumidity: 0 };
      const sameGas = 287.05287 / 287.05;
      return relative(toGramsPerSecond(engineDemand(engine, day).flow.value) * sameGas, n("m_g_s"));
    });
    accuracy({
      id: "engine-demand-four-stroke",
      area,
      what: "mass flow of a four-stroke engine, brought to the check values' gas constant of 287.05 J/(kg K)",
      evidence: "closed form",
      source: "J. B. Heywood, Internal Combustion Engine Fundamentals (1988), eq. 2.27",
      compared: errors.length,
      measured: Math.max(...errors),
      limit: 1e-5,
      unit: "relative, worst",
    });
  });

  it("textbook engine: volumetric efficiency from fuel, air-fuel ratio and density", () => {
    const book = dataJson<{
      given: Record<"cylinders" | "bore_m" | "stroke_m" | "rpm" | "air_density" | "AFR", number> &
        Record<"brake_power_kW" | "brake_thermal_eff" | "LHV_kJ_kg", number>;
      fuel_kg_s: number;
      volumetric_efficiency: number;
    }>("reference/09c-textbook-engine-example.json");
    const { given } = book;
    const fuel = given.brake_power_kW / given.brake_thermal_eff / given.LHV_kJ_kg;
    const bore = metres(given.bore_m);
    // The book gives a density; a dry day of any temperature and the pressure that makes it says the same.
    const temperature = celsius(20);
    const day = {
      temperature,
      pressure: pascals(given.air_density * 287.05287 * temperature),
      relativeHumidity: 0,
    };
    const engine = {
      displacement: cubicMetres(given.cylinders * (Math.PI / 4) * bore * bore * given.stroke_m),
      strokes: 4,
      speed: rpm(given.rpm),
    } as const;
    const flow = { value: kilogramsPerSecond(fuel * given.AFR), u: 0 };
    accuracy({
      id: "engine-demand-textbook",
      area,
      what: "volumetric efficiency of a four-cylinder engine",
      evidence: "published values",
      source: "V. Ganesan, Internal Combustion Engines, worked example 1.5",
      compared: 2,
      measured: Math.max(
        relative(volumetricEfficiencyOf(flow, engine, day).value, book.volumetric_efficiency),
        relative(fuel, book.fuel_kg_s),
      ),
      limit: 1e-4,
      unit: "relative, worst",
    });
  });
});

describe("fuel and power", () => {
  it("stoichiometric air-fuel ratio by atom balance", () => {
    const errors = dataCsv("reference/09d-stoichiometric-afr.csv")
      .filter((row) => row["H_C"] !== "")
      .map((row) => {
        const got = stoichiometricAirFuelRatio({ hydrogen: Number(row["H_C"]), oxygen: Number(row["O_C"]) });
        return Math.abs(got - Number(row["AFR_st"]));
      });
    accuracy({
      id: "engine-demand-stoichiometric",
      area,
      what: "stoichiometric air-fuel ratio of seven fuels",
      evidence: "closed form",
      source: "J. B. Heywood, Internal Combustion Engine Fundamentals (1988), ch. 3",
      compared: errors.length,
      measured: Math.max(...errors),
      limit: 0.01,
      unit: "absolute, worst",
    });
  });

  it("power from air flow", () => {
    const errors = dataCsv("reference/09e-power-from-airflow.csv").flatMap((row) => {
      const power = powerFromAirflow(gramsPerSecond(Number(row["air_g_s"])), {
        airFuelRatio: Number(row["AFR"]),
        consumption: gramsPerKilowattHour(Number(row["bsfc_g_kWh"])),
      });
      return [
        relative(toKilowatts(power), Number(row["P_kW"])),
        relative(toHorsepower(power), Number(row["P_hp_mech"])),
        relative(toMetricHorsepower(power), Number(row["P_hp_metric"])),
      ];
    });
    accuracy({
      id: "engine-demand-power",
      area,
      what: "brake power of an air flow in kW, hp and metric hp; the check values carry four decimals",
      evidence: "closed form",
      source: "definitions of air-fuel ratio and specific consumption",
      compared: errors.length,
      measured: Math.max(...errors),
      limit: 1e-6,
      unit: "relative, worst",
    });
  });

  it("specific consumption in lb/hp/h", () => {
    const errors = dataCsv("reference/09f-bsfc-conversions.csv").map((row) =>
      relative(
        toGramsPerKilowattHour(poundsPerHorsepowerHour(Number(row["lb_per_hp_h"]))),
        Number(row["g_per_kWh"]),
      ),
    );
    accuracy({
      id: "engine-demand-consumption",
      area,
      what: "specific consumption from lb/(hp h) to g/kWh",
      evidence: "closed form",
      source: "exact definitions of the pound and the horsepower",
      compared: errors.length,
      measured: Math.max(...errors),
      limit: 1e-6,
      unit: "relative, worst",
    });
  });
});
