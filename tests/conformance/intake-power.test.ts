import { correctedPower, uncertainPowerFromAirflow } from "bellmouth/intake";
import {
  celsius,
  gramsPerKilowattHour,
  gramsPerSecond,
  kilogramsPerJoule,
  kilogramsPerSecond,
  kilowatts,
  millibars,
  toHorsepower,
  toKilowatts,
  watts,
} from "bellmouth/units";
import { describe, it } from "vitest";
import { accuracy } from "../support/accuracy.js";
import { dataCsv } from "../support/data.js";

const area = "Power";
const relative = (got: number, want: number): number => Math.abs(got / want - 1);

describe("power", () => {
  it.each([
    ["SAE J1349", "J1349_cf(273/298)"],
    ["ISO 1585", "ISO1585_alpha_a_SI"],
  ] as const)("%s correction of a measured power", (standard, column) => {
    const errors = dataCsv("reference/09a-power-correction.csv").map((row) => {
      const state = {
        pressure: millibars(Number(row["p_dry_hPa"])),
        temperature: celsius(Number(row["t_C"])),
        relativeHumidity: 0,
      };
      const power = { value: kilowatts(120), u: watts(0) };
      const { power: corrected } = correctedPower(power, { state, uPressure: 0, uTemperature: 0 }, standard);
      return relative(toKilowatts(corrected.value) / 120, Number(row[column]));
    });
    accuracy({
      id: `power-corrected-${standard.toLowerCase().replaceAll(" ", "-")}`,
      area,
      what: `measured power brought to reference air, ${standard} (the two standards' values also hold each other within 0.3 % inside their range)`,
      evidence: "from memory",
      source: `${standard}, forms and constants from memory, recomputed`,
      compared: errors.length,
      measured: Math.max(...errors),
      limit: 1e-5,
      unit: "relative, worst",
    });
  });
  it("the two standards agree inside their range, which is what holds values from memory", () => {
    const inside = dataCsv("reference/09a-power-correction.csv").filter((row) => {
      const [p, t] = [Number(row["p_dry_hPa"]), Number(row["t_C"])];
      return (
        p >= 900 && p <= 1050 && t >= 15 && t <= 35 && Math.abs(Number(row["ISO1585_alpha_a_SI"]) - 1) <= 0.07
      );
    });
    const errors = inside.map((row) => {
      const state = {
        pressure: millibars(Number(row["p_dry_hPa"])),
        temperature: celsius(Number(row["t_C"])),
        relativeHumidity: 0,
      };
      const of = (standard: "SAE J1349" | "ISO 1585"): number =>
        correctedPower(
          { value: kilowatts(100), u: watts(0) },
          { state, uPressure: 0, uTemperature: 0 },
          standard,
        ).factor.value;
      return relative(of("SAE J1349"), of("ISO 1585"));
    });
    accuracy({
      id: "power-standards-agree",
      area,
      what: "SAE J1349 against ISO 1585 inside the range both allow",
      evidence: "published values",
      source: "SAE J1349; ISO 1585:1992: two standards for one thing",
      compared: errors.length,
      measured: Math.max(...errors),
      limit: 3e-3,
      unit: "relative, worst",
    });
  });
  it("power from airflow", () => {
    const errors = dataCsv("reference/09e-power-from-airflow.csv").flatMap((row) => {
      const n = (key: string): number => Number(row[key]);
      const { value } = uncertainPowerFromAirflow({
        airflow: { value: gramsPerSecond(n("air_g_s")), u: kilogramsPerSecond(0) },
        airFuelRatio: { value: n("AFR"), u: 0 },
        consumption: { value: gramsPerKilowattHour(n("bsfc_g_kWh")), u: kilogramsPerJoule(0) },
      });
      return [relative(toKilowatts(value), n("P_kW")), relative(toHorsepower(value), n("P_hp_mech"))];
    });
    accuracy({
      id: "power-from-airflow",
      area,
      what: "brake power of an airflow at a mixture and a consumption",
      evidence: "closed form",
      source: "definition of brake-specific fuel consumption; J. B. Heywood (1988), chapter 2",
      compared: errors.length,
      measured: Math.max(...errors),
      limit: 2e-6,
      unit: "relative, worst",
    });
  });
});
