import { evaluateCurve } from "bellmouth/curve";
import {
  circuitLimits,
  circuitResistance,
  circuitVoltage,
  type ElementCircuit,
  type ElementLaw,
  elementResistance,
  elementTemperature,
  fitThermistor,
  IEC_60751,
  planTemperatureTable,
  shownReading,
  temperatureAt,
  translateReading,
  voltageAt,
} from "bellmouth/sensor";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { evenly } from "../support/evenly.js";

const runs = { seed: 21, numRuns: 80 };
const number = evenly;

const thermistor: fc.Arbitrary<ElementLaw> = fc.oneof(
  fc.record({
    law: fc.constant("beta" as const),
    beta: number(2800, 4300),
    r0: number(500, 50_000),
    t0: number(285, 305),
  }),
  fc.record({
    law: fc.constant("steinhart-hart" as const),
    a: number(0.9e-3, 1.5e-3),
    b: number(2e-4, 2.6e-4),
    c: number(0.5e-7, 2e-7),
  }),
  fc.record({
    law: fc.constant("four-term" as const),
    a: number(3.3e-3, 3.45e-3),
    b: number(2.3e-4, 3e-4),
    c: number(-3e-6, 3e-6),
    d: number(0.2e-7, 2e-7),
    reference: number(500, 50_000),
  }),
);
const element: fc.Arbitrary<ElementLaw> = fc.oneof(
  thermistor,
  number(50, 2000).map((r0): ElementLaw => ({ law: "platinum", r0, ...IEC_60751 })),
);
const kelvin = number(243, 393);
const circuit: fc.Arbitrary<ElementCircuit> = fc.record(
  {
    element,
    supply: number(3, 12),
    series: number(300, 20_000),
    elementTo: fc.constantFrom("ground" as const, "supply" as const),
    load: number(50_000, 1e7),
  },
  { requiredKeys: ["element", "supply", "series", "elementTo"] },
);

describe("temperature elements", () => {
  it("go from temperature to resistance and back", () => {
    fc.assert(
      fc.property(element, kelvin, (law, t) => {
        expect(Math.abs(elementTemperature(law, elementResistance(law, t)) - t)).toBeLessThan(1e-9);
      }),
      runs,
    );
  });
  it("fall (thermistors) or rise (platinum) all the way", () => {
    fc.assert(
      fc.property(element, kelvin, number(0.01, 20), (law, t, step) => {
        const change = elementResistance(law, t + step) - elementResistance(law, t);
        expect(law.law === "platinum" ? change : -change).toBeGreaterThan(0);
      }),
      runs,
    );
  });
  it("go through their divider and back, inside its limits", () => {
    fc.assert(
      fc.property(circuit, kelvin, (one, t) => {
        const voltage = voltageAt(one, t);
        const { open, short } = circuitLimits(one);
        expect(voltage).toBeGreaterThan(Math.min(open, short));
        expect(voltage).toBeLessThan(Math.max(open, short));
        expect(Math.abs(temperatureAt(one, voltage) - t)).toBeLessThan(1e-6);
      }),
      runs,
    );
  });
  it("read the same voltage when all resistances grow alike", () => {
    fc.assert(
      fc.property(circuit, number(100, 1e5), number(0.1, 10), (one, resistance, factor) => {
        const grown: ElementCircuit = {
          ...one,
          series: one.series * factor,
          ...(one.load === undefined ? {} : { load: one.load * factor }),
        };
        const ratio = circuitVoltage(grown, resistance * factor) / circuitVoltage(one, resistance);
        expect(Math.abs(ratio - 1)).toBeLessThan(1e-12);
        expect(
          Math.abs(circuitResistance(one, circuitVoltage(one, resistance)) / resistance - 1),
        ).toBeLessThan(1e-8);
      }),
      runs,
    );
  });
  it("translate readings there and back, and not at all between equal circuits", () => {
    fc.assert(
      fc.property(circuit, thermistor, number(263, 353), (old, other, t) => {
        expect(Math.abs(translateReading(t, old, old) - t)).toBeLessThan(1e-6);
        fc.pre(old.element.law !== "platinum");
        const now: ElementCircuit = { ...old, element: other };
        const shown = shownReading(t, old, now);
        expect(Math.abs(translateReading(shown, old, now) - t)).toBeLessThan(1e-6);
      }),
      runs,
    );
  });
});

describe("fitted thermistors", () => {
  const grid = Array.from({ length: 12 }, (_, i) => 248 + 12 * i);
  const shaken = fc.tuple(thermistor, fc.array(number(-0.2, 0.2), { minLength: 12, maxLength: 12 }));
  const pointsOf = (law: ElementLaw, shake: readonly number[]) =>
    grid.map((t, i) => ({ resistance: elementResistance(law, t), temperature: t + (shake[i] as number) }));
  it("come back from exact points", () => {
    fc.assert(
      fc.property(thermistor, (law) => {
        const form = law.law === "platinum" ? "beta" : law.law;
        const fit = fitThermistor(pointsOf(law, new Array(12).fill(0)), { form });
        expect(fit.worst).toBeLessThan(1e-8);
      }),
      runs,
    );
  });
  it("do not care for the order of points", () => {
    fc.assert(
      fc.property(shaken, ([law, shake]) => {
        const points = pointsOf(law, shake);
        const one = fitThermistor(points);
        const other = fitThermistor([...points].reverse());
        for (const { resistance } of points) {
          const difference =
            elementTemperature(one.law, resistance) - elementTemperature(other.law, resistance);
          expect(Math.abs(difference)).toBeLessThan(1e-8);
        }
      }),
      runs,
    );
  });
  it("do not care for the unit of resistance", () => {
    fc.assert(
      fc.property(shaken, number(1e-3, 1e3), ([law, shake], unit) => {
        const points = pointsOf(law, shake);
        const one = fitThermistor(points, { form: "four-term" });
        const other = fitThermistor(
          points.map((point) => ({ ...point, resistance: point.resistance * unit })),
          { form: "four-term" },
        );
        for (const { resistance } of points) {
          const difference =
            elementTemperature(one.law, resistance) - elementTemperature(other.law, resistance * unit);
          expect(Math.abs(difference)).toBeLessThan(1e-7);
        }
      }),
      runs,
    );
  });
  it("refuse NaN", () => {
    fc.assert(
      fc.property(
        thermistor,
        fc.nat({ max: 11 }),
        fc.constantFrom("resistance", "temperature"),
        (law, at, where) => {
          const points = pointsOf(law, new Array(12).fill(0)).map((point, i) =>
            i === at ? { ...point, [where]: Number.NaN } : point,
          );
          expect(() => fitThermistor(points)).toThrow(/E_DOMAIN/);
        },
      ),
      runs,
    );
  });
});

describe("temperature tables", () => {
  it("are nowhere in the band worse than they say", () => {
    fc.assert(
      fc.property(
        thermistor,
        number(0.3, 3),
        fc.integer({ min: 9, max: 33 }),
        number(0, 1),
        (law, share, cells, at) => {
          const one: ElementCircuit = {
            element: law,
            supply: 5,
            series: elementResistance(law, 298) * share,
            elementTo: "ground",
          };
          const band = { coldest: 253, hottest: 373 };
          const table = planTemperatureTable(
            one,
            { quantity: "voltage", values: Array.from({ length: cells }, (_, i) => (5 * i) / (cells - 1)) },
            { band, fit: "minimax", outside: "hold", faultCells: "hold", tolerances: {} },
          );
          const t = band.coldest + at * (band.hottest - band.coldest);
          const error = Math.abs(evaluateCurve(table.curve, voltageAt(one, t)) - t);
          // The largest error is looked for at 64 places a cell.
          expect(error).toBeLessThanOrEqual(Math.abs(table.worst.error) * 1.01 + 1e-9);
          for (const cell of table.cells) expect(Number.isFinite(cell.value)).toBe(true);
        },
      ),
      { ...runs, numRuns: 40 },
    );
  });
});
