import {
  type Axis,
  type Curve,
  invertCurve,
  makeCurve,
  type StorageFlag,
  storeCurve,
} from "../../curve/index.js";
import { type FitRows, leastPower, worstResidual } from "../../curve/least-power.js";
import { BellmouthError, isFault } from "../../fault/index.js";
import type { ElementCircuit } from "./circuit.js";
import { elementSlope } from "./element-law.js";
import type { Reading } from "./reading.js";
import { beyondBand, temperatureBudget } from "./temperature-budget.js";
import {
  bandErrors,
  PAST_BAND,
  storedBreakpoints,
  type TemperatureBand,
  type TemperatureCell,
  type TemperatureFlag,
  type TemperatureTable,
  type TemperatureTableOptions,
} from "./temperature-cells.js";

/**
 * Readings over an axis of temperatures, which the ECU reads backwards: a reading between two cells shows the
 * temperature between theirs. Errors count in kelvins: a millivolt is worth far more at the hot end than in the middle.
 */
export function inverseTable(
  reading: Reading,
  circuit: ElementCircuit,
  axis: Axis,
  options: TemperatureTableOptions,
): TemperatureTable {
  const { band, storage, outside } = options;
  const xs = storedBreakpoints(axis.values, storage?.x).values;
  const sampled = xs.map(reading.of);
  const curveOf = (values: readonly number[]): Curve =>
    makeCurve({
      x: { quantity: "temperature", values: xs },
      y: { quantity: reading.quantity, values },
      between: "straight",
      outside,
    });
  const ideal = curveOf(options.fit === "sample" ? sampled : fitReadings(reading, xs, sampled, band));
  const stored = storeCurve(ideal, storage?.y === undefined ? {} : { y: storage.y });
  const xFlags = storedBreakpoints(axis.values, storage?.x).flags;
  const { curve } = stored;
  const shownBy =
    (by: typeof curve) =>
    (temperature: number): number =>
      invertCurve(by, reading.of(temperature)) - temperature;
  const errorsOf = (by: Curve) =>
    // The lines' corners lie where the element truly gives the cells' values.
    bandErrors(
      xs,
      band.coldest,
      band.hottest,
      shownBy(by),
      by.y.values.filter(sound).map(reading.temperature),
    );
  const sound = (value: number): boolean =>
    value > Math.min(reading.open, reading.short) && value < Math.max(reading.open, reading.short);
  const errors = errorsOf(curve);
  const lines = errorsOf(ideal);
  const worst = errors.reduce((a, b) => (Math.abs(b.error) > Math.abs(a.error) ? b : a));
  const shown = (at: number): number | null => {
    if (at === Number.MAX_VALUE && outside === "extend") return null;
    try {
      return invertCurve(curve, at);
    } catch (error) {
      if (isFault(error, "E_OUTSIDE")) return null;
      throw error;
    }
  };
  const ends = [reading.of(band.coldest), reading.of(band.hottest)];
  const coldIsOpen =
    Math.abs((ends[0] as number) - reading.open) < Math.abs((ends[1] as number) - reading.open);
  return {
    kind: "temperature table",
    curve,
    cells: xs.map((x, i): TemperatureCell => {
      const beyond = x < band.coldest || x > band.hottest;
      const end = i === 0 ? coldIsOpen : i === xs.length - 1 ? !coldIsOpen : null;
      const flags: TemperatureFlag[] = [];
      if (beyond) flags.push("beyond band");
      if (beyond && end !== null) flags.push(end ? "open circuit" : "short circuit");
      flags.push(...(xFlags[i] as readonly StorageFlag[]), ...(stored.yFlags[i] as readonly StorageFlag[]));
      const at = reading.of(Math.min(Math.max(x, band.coldest), band.hottest));
      const resistance = reading.resistance(at);
      // One unit of the reading as kelvins: by the law's slope and how the reading follows the resistance.
      const h = 1e-6 * Math.abs(at);
      const perUnit =
        Math.abs(elementSlope(circuit.element, resistance)) *
        Math.abs(Math.log(reading.resistance(at + h) / reading.resistance(at - h)) / (2 * h));
      return {
        x,
        value: curve.y.values[i] as number,
        flags,
        error: errors.find((entry) => entry.cell === i)?.error ?? 0,
        budget: beyond
          ? {
              beyond: beyondBand(reading, curve.y.values[i] as number, x, band.hottest - band.coldest),
            }
          : temperatureBudget(reading, circuit, at, options, {
              lines: Math.abs(lines.find((entry) => entry.cell === i)?.error ?? 0),
              step: (storage?.y?.step ?? 0) * perUnit,
            }),
      };
    }),
    worst: { temperature: worst.x, error: worst.error },
    healthy: { low: Math.min(...ends), high: Math.max(...ends) },
    shown: { open: shown(reading.open), short: shown(reading.short) },
    pastBand: [band.coldest - PAST_BAND, band.hottest + PAST_BAND].flatMap((t) => {
      const read = shown(reading.of(t));
      return read === null ? [] : [{ true: t, read }];
    }),
  };
}

/** Places inside a segment at which lines are held against the element. */
const PLACES = 16;

/**
 * Readings whose straight lines show the smallest largest error in kelvins over the band: a least 32nd-power fit with
 * each place's error counted in the reading's change over one kelvin there. Never worse than sampling.
 */
function fitReadings(
  reading: Reading,
  xs: readonly number[],
  sampled: readonly number[],
  band: TemperatureBand,
): readonly number[] {
  const rows = {
    unknown: [] as number[],
    weight: [] as number[],
    target: [] as number[],
    scale: [] as number[],
  };
  const touched = new Set<number>();
  for (let i = 0; i + 1 < xs.length; i++) {
    const [x0, x1] = [xs[i] as number, xs[i + 1] as number];
    const from = Math.max(x0, band.coldest);
    const to = Math.min(x1, band.hottest);
    if (!(to > from)) continue;
    touched.add(i).add(i + 1);
    for (let k = 0; k <= PLACES; k++) {
      const t = from + ((to - from) * k) / PLACES;
      const share = (t - x0) / (x1 - x0);
      rows.unknown.push(i, i + 1);
      rows.weight.push(1 - share, share);
      rows.target.push(reading.of(t));
      rows.scale.push(Math.abs(reading.of(t + 0.01) - reading.of(t - 0.01)) / 0.02);
    }
  }
  if (touched.size === 0) {
    throw new BellmouthError({
      code: "E_SHAPE",
      message: "no two breakpoints reach the band",
      found: `breakpoints ${xs.join(", ")} K`,
      accepted: `breakpoints around ${band.coldest} to ${band.hottest} K`,
      at: { path: "axis.values" },
    });
  }
  const first = Math.min(...touched);
  const problem: FitRows = {
    ...rows,
    unknowns: touched.size,
    width: 2,
    count: rows.target.length,
    unknown: rows.unknown.map((i) => i - first),
  };
  const start = Float64Array.from(sampled.slice(first, first + touched.size));
  const fitted = leastPower(problem, start);
  const better = worstResidual(problem, fitted) < worstResidual(problem, start) ? fitted : start;
  return sampled.map((value, i) => (touched.has(i) ? (better[i - first] as number) : value));
}
