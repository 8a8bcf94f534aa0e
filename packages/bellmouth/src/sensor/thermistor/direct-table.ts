import {
  type Axis,
  curveEvaluator,
  makeCurve,
  quantise,
  regridCurve,
  type StorageFlag,
  type TargetLine,
} from "../../curve/index.js";
import { BellmouthError } from "../../fault/index.js";
import type { ElementCircuit } from "./circuit.js";
import type { Reading } from "./reading.js";
import { beyondBand, temperatureBudget } from "./temperature-budget.js";
import {
  bandErrors,
  PAST_BAND,
  storedBreakpoints,
  type TemperatureCell,
  type TemperatureFlag,
  type TemperatureTable,
  type TemperatureTableOptions,
} from "./temperature-cells.js";

/** Temperature over an axis of readings. */
export function directTable(
  reading: Reading,
  circuit: ElementCircuit,
  axis: Axis,
  options: TemperatureTableOptions,
): TemperatureTable {
  const { band, faultCells, storage, outside } = options;
  const ends = [reading.of(band.coldest), reading.of(band.hottest)];
  const [low, high] = [Math.min(...ends), Math.max(...ends)];
  const breakpoints = storedBreakpoints(axis.values, storage?.x);
  const xs = breakpoints.values;
  // The cells whose lines reach into the band: from the last at or before its start to the first at or past its end.
  const first = Math.max(
    0,
    xs.findLastIndex((x) => x <= low),
  );
  const past = xs.findIndex((x) => x >= high);
  const last = past < 0 ? xs.length - 1 : past;
  if (!(last > first)) {
    throw new BellmouthError({
      code: "E_SHAPE",
      message: "fewer than two breakpoints reach the readings of the band",
      found: `breakpoints ${xs.join(", ")}`,
      accepted: `breakpoints around ${low} to ${high}`,
      at: { path: "axis.values" },
    });
  }
  const needed = (i: number): boolean => i >= first && i <= last;
  const fit = regridCurve(
    targetLine(reading, low, high),
    { quantity: axis.quantity, values: xs.slice(first, last + 1) },
    {
      fit: options.fit,
      error: "absolute",
      outside,
      // The ends of the band err most by far: they may borrow from the middle, where a tenth of a kelvin is nothing.
      nowhereWorse: false,
      ...(storage?.y === undefined ? {} : { storage: { y: storage.y } }),
    },
  );
  const inner = fit.ideal.y.values;
  const openIsHigh = reading.open > reading.short;
  const ideal = xs.map((_, i) => {
    if (needed(i)) return inner[i - first] as number;
    if (faultCells === "hold") return inner[i < first ? 0 : inner.length - 1] as number;
    return i > last === openIsHigh ? faultCells.open : faultCells.short;
  });
  const stored =
    storage?.y === undefined
      ? { values: ideal, flags: ideal.map((): readonly StorageFlag[] => []) }
      : quantise(ideal, storage.y, { keep: "nothing" });
  const curveOf = (values: readonly number[]) =>
    makeCurve({
      x: { quantity: axis.quantity, values: xs },
      y: { quantity: "temperature", values },
      between: "straight",
      outside,
    });
  const curve = curveOf(stored.values);
  const executed = curveEvaluator(curve);
  const unstored = curveEvaluator(curveOf(ideal));
  const errors = bandErrors(xs, low, high, (x) => executed(x) - reading.temperature(x));
  const lines =
    storage?.y === undefined
      ? errors
      : bandErrors(xs, low, high, (x) => unstored(x) - reading.temperature(x));
  const worst = errors.reduce((a, b) => (Math.abs(b.error) > Math.abs(a.error) ? b : a));
  const shown = (at: number): number | null => {
    const outer = at < (xs[0] as number) || at > (xs[xs.length - 1] as number);
    // A disconnected element has no finite resistance to carry a line on to.
    if (outer && (outside === "refuse" || (outside === "extend" && at === Number.MAX_VALUE))) return null;
    return executed(at);
  };
  const nearOpen = neighbours(xs, reading.open);
  const nearShort = neighbours(xs, reading.short);
  return {
    kind: "temperature table",
    curve,
    cells: xs.map((x, i): TemperatureCell => {
      const beyond = x < low || x > high;
      const flags: TemperatureFlag[] = [];
      if (beyond) flags.push("beyond band");
      if (beyond && nearOpen.includes(i)) flags.push("open circuit");
      if (beyond && nearShort.includes(i)) flags.push("short circuit");
      if (faultCells !== "hold" && !needed(i)) flags.push("fault value");
      if (faultCells !== "hold" && needed(i) && (nearOpen.includes(i) || nearShort.includes(i)) && beyond)
        flags.push("fault value given up");
      flags.push(
        ...(breakpoints.flags[i] as readonly StorageFlag[]),
        ...(stored.flags[i] as readonly StorageFlag[]),
      );
      return {
        x,
        value: curve.y.values[i] as number,
        flags,
        error: errors.find((entry) => entry.cell === i)?.error ?? 0,
        budget: {
          ...(needed(i)
            ? temperatureBudget(reading, circuit, Math.min(Math.max(x, low), high), options, {
                lines: Math.abs(lines.find((entry) => entry.cell === i)?.error ?? 0),
                step: storage?.y?.step ?? 0,
              })
            : {}),
          ...(beyond
            ? { beyond: beyondBand(reading, x, curve.y.values[i] as number, band.hottest - band.coldest) }
            : {}),
        },
      };
    }),
    worst: { temperature: reading.temperature(worst.x), error: worst.error },
    healthy: { low, high },
    shown: { open: shown(reading.open), short: shown(reading.short) },
    pastBand: [band.coldest - PAST_BAND, band.hottest + PAST_BAND].flatMap((t) => {
      const read = shown(reading.of(t));
      return read === null ? [] : [{ true: t, read }];
    }),
  };
}

/**
 * The element's temperature over its readings, carried on straight past the band: towards an open or shorted element
 * the law itself runs off to absolute zero or to no value at all.
 */
function targetLine(reading: Reading, low: number, high: number): TargetLine {
  const h = 1e-5 * (high - low);
  const [t0, t1] = [reading.temperature(low), reading.temperature(high)];
  const slope0 = (reading.temperature(low + h) - t0) / h;
  const slope1 = (t1 - reading.temperature(high - h)) / h;
  return {
    kind: "line",
    quantity: "temperature",
    at: (x) =>
      x < low ? t0 + slope0 * (x - low) : x > high ? t1 + slope1 * (x - high) : reading.temperature(x),
    corners: [low, high],
  };
}

/** Cells on both sides of a reading, or the end cell it lies beyond. */
function neighbours(xs: readonly number[], reading: number): number[] {
  const right = xs.findIndex((x) => x >= reading);
  if (right < 0) return [xs.length - 1];
  return xs[right] === reading || right === 0 ? [right] : [right - 1, right];
}
