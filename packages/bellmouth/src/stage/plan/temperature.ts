import type { Axis } from "../../curve/index.js";
import type { EcuTemperature, SwapDocument, TemperatureElement } from "../../document/index.js";
import { atKey } from "../../fault/index.js";
import {
  combinedKelvin,
  type ElementCircuit,
  type ElementLaw,
  elementResistance,
  fitThermistor,
  planTemperatureTable,
  shownReading,
  type ThermistorFit,
} from "../../sensor/index.js";
import { celsius } from "../../units/index.js";
import type { TableSide, TemperaturePlan } from "./result.js";

/** Temperatures [K] at which a table that was left alone is shown to be wrong. */
const SHOWN = [-20, 0, 20, 40, 60, 80].map((t) => celsius(t));

/** The air-temperature table for the new element, and what the old table would say of it. */
export function planTemperature(document: SwapDocument): TemperaturePlan | null {
  const { temperature } = document;
  if (temperature === undefined) return null;
  const { ecu, next, present } = temperature;
  const { law, fit } = atKey("temperature-element.new", () => lawOf(next));
  const circuit = circuitOf(ecu, law);
  const quantity = ecu.signal === "counts" ? "count" : ecu.signal;
  const toTemperature = ecu.direction === "signal-to-temperature";
  const axis: Axis = { quantity: toTemperature ? quantity : "temperature", values: ecu.axis };
  const table = atKey("ecu.temperature", () =>
    planTemperatureTable(circuit, axis, {
      band: ecu.band,
      fit: ecu.fit,
      outside: ecu.outside,
      faultCells: ecu.faultValues ?? "hold",
      tolerances: { kelvin: next.accuracy, ...(fit === null ? {} : { fit }) },
      ...(ecu.storage === undefined ? {} : { storage: { y: ecu.storage } }),
      ...(ecu.converter === undefined ? {} : { converter: ecu.converter }),
      ...(toTemperature ? {} : { values: quantity }),
    }),
  );
  const readings: TableSide = {
    name: quantity,
    unit: toTemperature ? ecu.units.axis : ecu.units.value,
    dimension: quantity,
  };
  const temperatures: TableSide = {
    name: "air temperature",
    unit: toTemperature ? ecu.units.value : ecu.units.axis,
    dimension: "temperature",
  };
  return {
    axis: toTemperature ? readings : temperatures,
    value: toTemperature ? temperatures : readings,
    cells: table.cells.map((cell) => ({
      x: cell.x,
      y: cell.value,
      u: combinedKelvin(cell.budget),
      flags: cell.flags,
    })),
    fit: {
      law: law.law,
      rms: fit?.rms ?? 0,
      worst: fit?.worst ?? 0,
      points: fit?.n ?? 0,
      outliers: (fit?.residuals ?? [])
        // Within the accuracy stated for the element a point contradicts nothing.
        .filter((residual) => residual.outlier && Math.abs(residual.kelvin) > 1.96 * next.accuracy)
        .map(({ temperature: t, resistance, kelvin }) => ({ temperature: t, resistance, kelvin })),
    },
    band: ecu.band,
    worst: { temperature: table.worst.temperature, error: table.worst.error },
    shown: table.shown,
    pastBand: table.pastBand,
    leftAlone:
      present === undefined
        ? null
        : leftAlone(ecu, atKey("temperature-element.present", () => lawOf(present)).law, law),
  };
}

/** The element's law, and the fit it comes from where it was given as points. */
function lawOf(element: TemperatureElement): {
  readonly law: ElementLaw;
  readonly fit: ThermistorFit | null;
} {
  switch (element.kind) {
    case "coefficients":
      return { law: { law: "steinhart-hart", a: element.a, b: element.b, c: element.c }, fit: null };
    case "beta":
      return {
        law: { law: "beta", beta: element.beta, r0: element.resistance, t0: element.temperature },
        fit: null,
      };
    case "points": {
      const fit = fitThermistor(
        element.temperature.map((temperature, i) => ({
          temperature,
          resistance: element.resistance[i] as number,
        })),
      );
      return { law: fit.law, fit };
    }
  }
}

const circuitOf = (ecu: EcuTemperature, element: ElementLaw): ElementCircuit => ({
  element,
  supply: ecu.supply,
  series: ecu.pullUp,
  elementTo: "ground",
});

/** What the present table would read for the new element, where both elements' laws hold; null where the band holds none of `SHOWN`. */
function leftAlone(ecu: EcuTemperature, old: ElementLaw, now: ElementLaw): TemperaturePlan["leftAlone"] {
  const before = circuitOf(ecu, old);
  const after = circuitOf(ecu, now);
  const shown = SHOWN.filter((t) => t >= ecu.band.coldest && t <= ecu.band.hottest).filter(
    (t) => elementResistance(now, t) > 0,
  );
  return shown.length === 0 ? null : shown.map((t) => ({ true: t, read: shownReading(t, before, after) }));
}
