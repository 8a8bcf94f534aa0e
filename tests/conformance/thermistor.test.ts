import {
  circuitResistance,
  circuitVoltage,
  type ElementCircuit,
  type ElementLaw,
  elementResistance,
  elementTemperature,
  fitThermistor,
  IEC_60751,
} from "bellmouth/sensor";
import { celsius } from "bellmouth/units";
import { describe, expect, it } from "vitest";
import { accuracy } from "../support/accuracy.js";
import { dataCsv } from "../support/data.js";

const area = "Temperature elements";
const worst = (errors: readonly number[]): number => Math.max(...errors.map(Math.abs));
const number = (row: Record<string, string>, column: string): number => {
  const value = Number(row[column]);
  expect(Number.isFinite(value), column).toBe(true);
  return value;
};

const small: ElementLaw = { law: "steinhart-hart", a: 1.4051e-3, b: 2.369e-4, c: 1.019e-7 };
const large: ElementLaw = { law: "steinhart-hart", a: 1.129241e-3, b: 2.341077e-4, c: 8.775468e-8 };

describe("Steinhart-Hart", () => {
  const rows = dataCsv("reference/10a-steinhart-hart.csv");
  it("published coefficients give the published temperatures, forwards and back", () => {
    const cases = rows.map((row) => ({
      law: row["thermistor"] === "10k curve A" ? large : small,
      resistance: number(row, "R_ohm"),
      kelvin: celsius(number(row, "T_C")),
    }));
    accuracy({
      id: "thermistor-steinhart-hart",
      area,
      what: "Steinhart-Hart temperatures of a 3 kohm and a 10 kohm element",
      evidence: "published values",
      source:
        "coefficients of two instrument manuals (worked example 2221 ohm, 31.98 °C); formula recomputed",
      compared: cases.length,
      measured: worst(cases.map((c) => elementTemperature(c.law, c.resistance) - c.kelvin)),
      limit: 0.01,
      unit: "K, worst",
    });
    accuracy({
      id: "thermistor-steinhart-hart-inverse",
      area,
      what: "Steinhart-Hart resistances of a 3 kohm and a 10 kohm element, as temperature error",
      evidence: "published values",
      source: "coefficients of two instrument manuals; formula recomputed and inverted",
      compared: cases.length,
      measured: worst(
        cases.map((c) => elementTemperature(c.law, elementResistance(c.law, c.kelvin)) - c.kelvin),
      ),
      limit: 0.01,
      unit: "K, worst",
    });
  });

  const points = (name: string) =>
    dataCsv(`reference/${name}`).map((row) => ({
      resistance: number(row, "R_ohm"),
      temperature: celsius(number(row, "T_C")),
    }));
  it("fits a published 10 kohm table", () => {
    const table = points("10b-ntc-10k-table-published.csv");
    const fit = fitThermistor(table);
    expect(fit.residuals.filter((residual) => residual.outlier)).toEqual([]);
    accuracy({
      id: "thermistor-fit-10k",
      area,
      what: "Steinhart-Hart fitted to a published 10 kohm table, -40 to 1 °C: residual",
      evidence: "published values",
      source: "instrument manual, table C-1, a 10 kohm element",
      compared: table.length,
      measured: fit.worst,
      limit: 0.01,
      unit: "K, worst",
    });
  });
  it("finds the misprint of another published table, and is right without it", () => {
    const table = points("10c-ntc-10k-table2-published.csv");
    const all = fitThermistor(table);
    const suspects = (fit: typeof all) =>
      fit.residuals.filter((residual) => residual.outlier).map((residual) => residual.resistance);
    // 40 °C is printed as 5331 ohm where a smooth curve needs 5231.
    expect(suspects(all)).toEqual([5331]);
    const fit = fitThermistor(table, { use: "without outliers" });
    expect(suspects(fit)).toEqual([5331]);
    expect(fit.n).toBe(table.length - 1);
    expect(elementResistance(fit.law, celsius(40))).toBeCloseTo(5231, -1);
    accuracy({
      id: "thermistor-fit-10k-misprint",
      area,
      what: "Steinhart-Hart fitted to a published 10 kohm table whose 40 °C row is a misprint (found and left out): residual",
      evidence: "published values",
      source: "manual of a laser-diode controller, appendix",
      compared: fit.n,
      measured: fit.worst,
      limit: 0.01,
      unit: "K, worst",
    });
  });
});

describe("other laws", () => {
  it("Beta", () => {
    const rows = dataCsv("reference/10d-beta-equation.csv");
    accuracy({
      id: "thermistor-beta",
      area,
      what: "Beta law, three elements, -40 to 120 °C: resistance",
      evidence: "closed form",
      source: "IEC 60539-1, B-value law",
      compared: rows.length,
      measured: worst(
        rows.map((row) => {
          const law: ElementLaw = {
            law: "beta",
            beta: number(row, "B_K"),
            r0: number(row, "R25_ohm"),
            t0: celsius(25),
          };
          return elementResistance(law, celsius(number(row, "T_C"))) / number(row, "R_ohm") - 1;
        }),
      ),
      limit: 1e-6,
      unit: "relative, worst",
    });
    const pair = rows
      .filter((row) => row["B_K"] === "3380" && ["0", "100"].includes(row["T_C"] as string))
      .map((row) => ({ resistance: number(row, "R_ohm"), temperature: celsius(number(row, "T_C")) }));
    const fit = fitThermistor(pair);
    if (fit.law.law !== "beta") throw new Error("another law");
    expect(fit.law.beta).toBeCloseTo(3380, 3);
    expect(fit.law.r0).toBeCloseTo(10000, 3);
    expect(fit.covariance).toBeNull();
  });
  it("four-term", () => {
    const rows = dataCsv("reference/10e-four-term-ntc.csv");
    const law: ElementLaw = {
      law: "four-term",
      a: 3.3539438e-3,
      b: 2.5646095e-4,
      c: 2.5158166e-6,
      d: 1.0503069e-7,
      reference: 1,
    };
    accuracy({
      id: "thermistor-four-term",
      area,
      what: "four-term law, -40 to 155 °C, forwards and back",
      evidence: "published values",
      source: "coefficients of a maker's data sheet for R/R25 from 0.01644 to 33.36; formula recomputed",
      compared: 2 * rows.length,
      measured: worst(
        rows.flatMap((row) => {
          const kelvin = celsius(number(row, "T_C"));
          const ratio = number(row, "R_over_R25");
          // The law counts from R25; an element of 10 kohm is the same law with its own reference.
          const sized: ElementLaw = { ...law, reference: 10_000 };
          return [
            elementTemperature(sized, ratio * 10_000) - kelvin,
            elementTemperature(sized, elementResistance(sized, kelvin)) - kelvin,
          ];
        }),
      ),
      limit: 1e-4,
      unit: "K, worst",
    });
  });
  it("platinum", () => {
    const rows = dataCsv("reference/10f-pt100-iec60751.csv");
    const law: ElementLaw = { law: "platinum", r0: 100, ...IEC_60751 };
    accuracy({
      id: "thermistor-pt100",
      area,
      what: "Pt100, -200 to 200 °C: resistance",
      evidence: "published values",
      source: "IEC 60751 coefficients (100 °C: 138.51 ohm printed); formula recomputed",
      compared: rows.length,
      measured: worst(
        rows.map((row) => elementResistance(law, celsius(number(row, "t_C"))) - number(row, "R_ohm")),
      ),
      limit: 1e-4,
      unit: "ohm, worst",
    });
    const back = rows.map(
      (row) => elementTemperature(law, number(row, "R_ohm")) - celsius(number(row, "t_C")),
    );
    expect(worst(back)).toBeLessThan(1e-3);
  });
  it("divider", () => {
    const rows = dataCsv("reference/10g-divider.csv");
    const errors = rows.flatMap((row) => {
      const circuit: ElementCircuit = {
        element: large,
        supply: number(row, "Vref"),
        series: number(row, "R_pullup"),
        elementTo: "ground",
      };
      const voltage = number(row, "V_signal");
      const resistance = number(row, "R_ntc_to_ground");
      return [
        circuitVoltage(circuit, resistance) - voltage,
        circuitVoltage(circuit, circuitResistance(circuit, voltage)) - voltage,
      ];
    });
    accuracy({
      id: "thermistor-divider",
      area,
      what: "voltage of a pull-up divider",
      evidence: "closed form",
      source: "V = supply R / (R + pull-up)",
      compared: errors.length,
      measured: worst(errors),
      limit: 1e-6,
      unit: "V, worst",
    });
  });
});

describe("a thermistor measured by others", () => {
  const points = dataCsv("recordings/thermistor-ntc-5k-sample-1.csv").map((row) => ({
    resistance: 1000 * number(row, "R1_kohm"),
    temperature: celsius(number(row, "temperature_C")),
  }));
  const source = "P. Jabardo, IPT, thermistor of 5 kohm, sample 1, ThermistorHW.jl, MIT licence";
  it("is fitted to its scatter", () => {
    const fit = fitThermistor(points);
    // The data set's description: about 5 kohm at 25 °C, B about 3590 K, residuals up to 0.5 K.
    accuracy({
      id: "thermistor-real-fit",
      area,
      what: "Steinhart-Hart fitted to a measured 5 kohm thermistor, 0 to 90 °C: residual",
      evidence: "measured data",
      source,
      compared: points.length,
      measured: fit.worst,
      limit: 0.5,
      unit: "K, worst",
    });
    const beta = fitThermistor(points, { form: "beta" });
    if (beta.law.law !== "beta") throw new Error("another law");
    expect(Math.abs(beta.law.beta / 3590 - 1)).toBeLessThan(0.02);
    expect(beta.worst).toBeGreaterThan(fit.worst);
  });
  it("predicts the half of the points it did not see", () => {
    const fit = fitThermistor(points.filter((_, i) => i % 2 === 0));
    const unseen = points.filter((_, i) => i % 2 === 1);
    const errors = unseen.map((point) => elementTemperature(fit.law, point.resistance) - point.temperature);
    accuracy({
      id: "thermistor-real-half",
      area,
      what: "Steinhart-Hart fitted to alternate points of a measured 5 kohm thermistor, 0 to 90 °C, scored on the others (accepted: twice the fit's own 0.5 K)",
      evidence: "measured data",
      source,
      compared: errors.length,
      measured: worst(errors),
      limit: 1,
      unit: "K, worst",
    });
  });
});
