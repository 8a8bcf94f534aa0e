import { describe, expect, it } from "vitest";
import type { Axis } from "../../curve/index.js";
import {
  circuitLimits,
  circuitResistance,
  circuitVoltage,
  combinedKelvin,
  countOf,
  type ElementCircuit,
  type ElementLaw,
  elementResistance,
  elementSlope,
  elementTemperature,
  fitThermistor,
  fitUncertainty,
  planTemperatureTable,
  shownReading,
  type TemperatureTableOptions,
  temperatureAt,
  translateReading,
  voltageAt,
  voltageOfCount,
} from "./index.js";

const element: ElementLaw = { law: "beta", beta: 3500, r0: 2500, t0: 293.15 };
const circuit: ElementCircuit = { element, supply: 5, series: 2500, elementTo: "ground" };

describe("element laws", () => {
  it("a slope is the derivative of the law", () => {
    for (const law of [
      element,
      { law: "steinhart-hart", a: 1.4051e-3, b: 2.369e-4, c: 1.019e-7 },
      { law: "four-term", a: 3.354e-3, b: 2.5646e-4, c: 2.5e-6, d: 1e-7, reference: 2000 },
      { law: "platinum", r0: 1000, a: 3.9083e-3, b: -5.775e-7, c: -4.183e-12 },
    ] as ElementLaw[]) {
      const r = elementResistance(law, 300);
      const h = 1e-5;
      const numeric = (elementTemperature(law, r * (1 + h)) - elementTemperature(law, r * (1 - h))) / (2 * h);
      expect(elementSlope(law, r) / numeric).toBeCloseTo(1, 6);
    }
  });
  it("refuses what a law does not cover", () => {
    const turning: ElementLaw = { law: "steinhart-hart", a: 1e-3, b: 3e-4, c: -1e-6 };
    expect(() => elementTemperature(turning, Math.exp(11))).toThrow(/E_DOMAIN/);
    expect(() => elementTemperature({ law: "steinhart-hart", a: 1e-3, b: -3e-4, c: -1e-7 }, 100)).toThrow(
      /E_NOT_INVERTIBLE/,
    );
    for (const bad of [0, -1, Number.NaN, Number.POSITIVE_INFINITY]) {
      expect(() => elementTemperature(element, bad)).toThrow(/E_DOMAIN/);
      expect(() => elementResistance(element, bad)).toThrow(/E_DOMAIN/);
      expect(() => elementTemperature({ law: "platinum", r0: 100, a: 3.9e-3, b: -5e-7, c: 0 }, bad)).toThrow(
        /E_DOMAIN/,
      );
    }
  });
});

describe("circuits", () => {
  it("knows dividers both ways round, with and without a load", () => {
    expect(circuitVoltage(circuit, 2500)).toBe(2.5);
    expect(circuitVoltage({ ...circuit, elementTo: "supply" }, 7500)).toBeCloseTo(1.25, 14);
    // 2,500 over a load of 2,500 is 1,250: a third of 5 V under 2,500.
    expect(circuitVoltage({ ...circuit, load: 2500 }, 2500)).toBeCloseTo(5 / 3, 14);
    expect(circuitVoltage({ ...circuit, elementTo: "supply", load: 2500 }, 2500)).toBeCloseTo(5 / 3, 14);
    for (const one of [
      circuit,
      { ...circuit, load: 1e5 },
      { ...circuit, elementTo: "supply", load: 1e5 } as const,
    ]) {
      expect(circuitResistance(one, circuitVoltage(one, 812))).toBeCloseTo(812, 8);
    }
  });
  it("knows an open and a shorted element", () => {
    expect(circuitLimits(circuit)).toEqual({ open: 5, short: 0 });
    expect(circuitLimits({ ...circuit, elementTo: "supply" })).toEqual({ open: 0, short: 5 });
    expect(circuitLimits({ ...circuit, load: 22500 }).open).toBeCloseTo(4.5, 14);
    for (const voltage of [0, 5, 6, -1])
      expect(() => circuitResistance(circuit, voltage)).toThrow(/E_OUTSIDE/);
    expect(() => circuitResistance(circuit, Number.NaN)).toThrow(/E_DOMAIN/);
    expect(() => circuitVoltage({ ...circuit, series: 0 }, 100)).toThrow(/E_DOMAIN/);
  });
  it("counts", () => {
    const converter = { bits: 10, reference: 5 };
    expect(countOf(converter, 0)).toBe(0);
    expect(countOf(converter, 5)).toBe(1023);
    expect(countOf(converter, voltageOfCount(converter, 700))).toBe(700);
    expect(() => countOf({ bits: 10.5, reference: 5 }, 1)).toThrow(/E_DOMAIN/);
    expect(() => voltageOfCount(converter, 1024)).toThrow(/E_DOMAIN/);
  });
});

describe("translateReading", () => {
  const now: ElementCircuit = { ...circuit, element: { law: "beta", beta: 3900, r0: 2500, t0: 293.15 } };
  it("agrees where both elements agree, and nowhere else", () => {
    expect(translateReading(293.15, circuit, now)).toBeCloseTo(293.15, 9);
    // At 353.15 K shown, ln(r0/R) = 3500 (1/293.15 - 1/353.15); the other law needs 3500/3900 of that in 1/T.
    const inverse = 1 / 293.15 - (3500 / 3900) * (1 / 293.15 - 1 / 353.15);
    expect(translateReading(353.15, circuit, now)).toBeCloseTo(1 / inverse, 8);
    expect(shownReading(translateReading(263.15, circuit, now), circuit, now)).toBeCloseTo(263.15, 8);
  });
});

describe("fitThermistor", () => {
  const points = [253.15, 273.15, 293.15, 313.15, 353.15].map((temperature) => ({
    temperature,
    resistance: elementResistance(element, temperature),
  }));
  it("finds a Beta element by any form", () => {
    for (const form of ["beta", "steinhart-hart", "four-term"] as const) {
      const fit = fitThermistor(points, { form });
      expect(fit.worst).toBeLessThan(1e-9);
      expect(elementTemperature(fit.law, 1000)).toBeCloseTo(elementTemperature(element, 1000), 8);
    }
  });
  it("says how far its temperature is known", () => {
    const shaken = points.map((point, i) => ({ ...point, temperature: point.temperature + 0.1 * (-1) ** i }));
    const fit = fitThermistor(shaken);
    expect(fit.sd).toBeGreaterThan(0.1);
    const middle = fitUncertainty(fit, elementResistance(element, 293.15)) as number;
    const far = fitUncertainty(fit, elementResistance(element, 413.15)) as number;
    expect(middle).toBeGreaterThan(fit.sd as number);
    expect(far).toBeGreaterThan(2 * middle);
    expect(fitUncertainty(fitThermistor(points.slice(0, 3)), 1000)).toBeNull();
  });
  it.each([
    ["E_TOO_LITTLE_DATA", points.slice(0, 1)],
    ["E_DOMAIN", [...points, { resistance: Number.NaN, temperature: 300 }]],
    ["E_DOMAIN", [...points, { resistance: 100, temperature: -5 }]],
    ["E_SINGULAR", points.map((point) => ({ ...point, resistance: 1000 }))],
    ["E_SINGULAR", points.map((point) => ({ ...point, resistance: 1e6 / point.resistance })).slice(0, 2)],
  ])("refuses with %s", (code, given) => {
    expect(() => fitThermistor(given)).toThrow(new RegExp(code));
  });
});

describe("planTemperatureTable", () => {
  const axis: Axis = { quantity: "voltage", values: [0, 0.25, 0.5, 1, 1.5, 2, 2.5, 3, 3.5, 4, 4.5, 4.75, 5] };
  const options: TemperatureTableOptions = {
    band: { coldest: 253.15, hottest: 363.15 },
    fit: "minimax",
    outside: "hold",
    faultCells: { open: 233.15, short: 423.15 },
    tolerances: { element: 0.01, series: 0.005 },
  };
  const table = planTemperatureTable(circuit, axis, options);
  it("halves the error of sampling, inside the band", () => {
    const sampled = planTemperatureTable(circuit, axis, { ...options, fit: "sample" });
    expect(Math.abs(table.worst.error)).toBeLessThan(0.6 * Math.abs(sampled.worst.error));
    // Read as the ECU reads it, at a temperature that is no breakpoint.
    const voltage = voltageAt(circuit, 330);
    const i = axis.values.findIndex((x) => x > voltage);
    const [x0, x1] = [axis.values[i - 1] as number, axis.values[i] as number];
    const [y0, y1] = [table.cells[i - 1]?.value as number, table.cells[i]?.value as number];
    const shown = y0 + ((y1 - y0) * (voltage - x0)) / (x1 - x0);
    expect(Math.abs(shown - 330)).toBeLessThanOrEqual(Math.abs(table.worst.error));
  });
  it("keeps fault values past the band and marks them", () => {
    const { low, high } = table.healthy;
    expect(low).toBeCloseTo(voltageAt(circuit, 363.15), 12);
    expect(high).toBeCloseTo(voltageAt(circuit, 253.15), 12);
    const last = table.cells[12];
    expect(last?.value).toBe(233.15);
    expect(last?.flags).toEqual(["beyond band", "open circuit", "fault value"]);
    expect(table.cells[0]?.value).toBe(423.15);
    expect(table.cells[0]?.flags).toEqual(["beyond band", "short circuit", "fault value"]);
    expect(table.shown).toEqual({ open: 233.15, short: 423.15 });
    const inBand = table.cells.filter((cell) => cell.x >= low && cell.x <= high);
    expect(inBand.length).toBe(8);
    expect(inBand.flatMap((cell) => cell.flags)).toEqual([]);
  });
  it("gives up a fault value whose line reaches into the band, and says so", () => {
    const short = planTemperatureTable(circuit, { quantity: "voltage", values: [0, 1, 2, 3, 4, 5] }, options);
    expect(short.cells[5]?.flags).toEqual(["beyond band", "open circuit", "fault value given up"]);
    expect(short.cells[5]?.value).not.toBe(233.15);
  });
  it("holds the band's end when asked", () => {
    const held = planTemperatureTable(circuit, axis, { ...options, faultCells: "hold" });
    expect(held.cells[12]?.value).toBe(held.cells[11]?.value);
  });
  it("budgets in kelvins", () => {
    const cell = table.cells[6];
    const slope = elementSlope(element, circuitResistance(circuit, 2.5));
    expect(cell?.budget.element).toBeCloseTo(0.01 * Math.abs(slope), 9);
    // Without a load, a percent of the resistor is a percent of the element.
    expect(cell?.budget.resistor).toBeCloseTo(0.005 * Math.abs(slope), 6);
    expect(cell?.budget.storage).toBeUndefined();
    expect(cell?.budget.fit).toBeUndefined();
    expect(combinedKelvin(cell?.budget ?? {})).toBeGreaterThan(0.012 * Math.abs(slope) * 0.9);
    const stored = planTemperatureTable(circuit, axis, {
      ...options,
      converter: { bits: 10, reference: 5 },
      storage: { y: { step: 0.75, offset: 225.15, from: 225.15, to: 416.4 } },
    });
    expect(stored.cells[6]?.budget.storage).toBeCloseTo(0.75 / Math.sqrt(12), 12);
    expect(stored.cells[6]?.budget.converter).toBeCloseTo(
      Math.abs(temperatureAt(circuit, 2.5 + 5 / 2048) - temperatureAt(circuit, 2.5 - 5 / 2048)) /
        Math.sqrt(12),
      5,
    );
    expect(stored.cells[0]?.flags).toContain("clipped");
    expect(Math.abs(stored.worst.error)).toBeLessThan(Math.abs(table.worst.error) + 0.376);
  });
  it("lies over counts as over volts", () => {
    const converter = { bits: 10, reference: 5 };
    const counts = planTemperatureTable(
      circuit,
      { quantity: "count", values: axis.values.map((x) => (x / 5) * 1024 - 0.5) },
      { ...options, converter },
    );
    counts.cells.forEach((cell, i) => {
      expect(cell.value).toBeCloseTo(table.cells[i]?.value as number, 6);
    });
    expect(() => planTemperatureTable(circuit, { ...axis, quantity: "count" }, options)).toThrow(/E_UNIT/);
  });
  it("holds readings over temperatures", () => {
    const warm: Axis = {
      quantity: "temperature",
      values: [233.15, 253.15, 273.15, 293.15, 313.15, 333.15, 363.15],
    };
    const inverse = planTemperatureTable(circuit, warm, { ...options, values: "voltage" });
    expect(inverse.curve.y.quantity).toBe("voltage");
    // Straight lines over 20 and 30 K of a curve that bends by about 2 K at most: sampling shows it whole.
    const sampled = planTemperatureTable(circuit, warm, { ...options, fit: "sample", values: "voltage" });
    expect(Math.abs(inverse.worst.error)).toBeLessThan(0.6 * Math.abs(sampled.worst.error));
    expect(inverse.cells[0]?.flags).toEqual(["beyond band", "open circuit"]);
    expect(inverse.shown).toEqual({ open: 233.15, short: 363.15 });
    // Of several cells beyond the band only the last shows the fault.
    const wide: Axis = { ...warm, values: [...warm.values, 413.15, 433.15] };
    const ends = planTemperatureTable(circuit, wide, { ...options, values: "voltage" }).cells;
    expect(ends.at(-1)?.flags).toContain("short circuit");
    expect(ends.at(-2)?.flags).toEqual(["beyond band"]);
    // The cells at the band's two ends show their temperature a little outside it.
    inverse.cells.slice(2, -1).forEach((cell) => {
      expect(Math.abs(temperatureAt(circuit, cell.value) - cell.x)).toBeLessThan(
        1.01 * Math.abs(inverse.worst.error),
      );
    });
    expect(() => planTemperatureTable(circuit, warm, options)).toThrow(/E_UNIT/);
  });
  it("refuses what it cannot serve", () => {
    expect(() => planTemperatureTable(circuit, { quantity: "voltage", values: [4.9, 5] }, options)).toThrow(
      /E_SHAPE/,
    );
    expect(() =>
      planTemperatureTable(
        circuit,
        { quantity: "temperature", values: [400, 410] },
        { ...options, values: "voltage" },
      ),
    ).toThrow(/E_SHAPE/);
    expect(() => planTemperatureTable(circuit, { quantity: "mass flow", values: [0, 1] }, options)).toThrow(
      /E_UNIT/,
    );
    expect(() =>
      planTemperatureTable(circuit, axis, { ...options, band: { coldest: 300, hottest: 300 } }),
    ).toThrow(/E_DOMAIN/);
    expect(() =>
      planTemperatureTable(circuit, axis, { ...options, band: { coldest: Number.NaN, hottest: 300 } }),
    ).toThrow(/E_DOMAIN/);
  });
  it("survives JSON unchanged", () => {
    expect(JSON.parse(JSON.stringify(table))).toEqual(table);
  });
});
