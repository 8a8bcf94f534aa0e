import { airDensity, gasConstant, type MoistAir } from "../../air/index.js";
import { BellmouthError } from "../../fault/index.js";
import type { Rows } from "../../fit/index.js";
import { stepOf } from "../reading-step.js";
import { type SharedRounding, sharedRounding } from "./gauge-step.js";
import { type LinkedFit, type LinkedSeries, linkedRegressions } from "./linked-regressions.js";
import type { LossLaw } from "./loss.js";
import { reducedDrop, totalPressure } from "./station-pressure.js";
import type { Tract, TractPoint } from "./tract.js";

/** Errors of one standard uncertainty that many readings share, one row per series and one column per occasion. */
export type SharedError = Rows;

/** The cumulative law of every station, fitted; every question is a combination of its coefficients. */
export interface TractFit {
  readonly fit: LinkedFit;
  /** between series, at scatter 1 */
  readonly covariance: Rows;
  /** false when the covariance is the stated uncertainty of a reading, not an estimate */
  readonly estimated: boolean;
  /** coefficients of the law: 1 or 2 */
  readonly columns: 1 | 2;
  /** where coefficient c of station s stands */
  readonly place: (station: number, coefficient: number) => readonly [series: number, column: number];
  /** gauge zeros and scales */
  readonly gaugeErrors: readonly SharedError[];
  /** rounding of the gauge that readings have in common */
  readonly sharedRounding: readonly SharedRounding[];
  /** variance of one rounding [Pa^2]; zero where no step was stated */
  readonly stepVariance: number;
}

export interface TractFitOptions {
  readonly law: LossLaw;
  readonly independent: "points" | "pulls";
  readonly gauges: readonly {
    readonly elements: readonly string[];
    readonly zero: number;
    readonly gain: number;
  }[];
  /** readings over each part instead of from outside: a station's drop is then a sum of readings */
  readonly partByPart: boolean;
  readonly resolution: number | undefined;
  readonly readingUncertainty: number | undefined;
}

/** What a stated error does to the readings of a point [Pa], and to the areas at its static tappings [m^2]. */
interface Disturbance {
  readonly drops?: (drops: readonly number[]) => readonly number[];
  readonly areas?: (area: number, station: number) => number;
}

/** Drop of total pressure from the outside air to each station of a point [Pa]; NaN where it was not read. */
export function stationDrops(
  tract: Tract,
  point: TractPoint,
  outside: MoistAir,
  disturbed: Disturbance = {},
): number[] {
  const air = point.air ?? outside;
  return (disturbed.drops?.(point.drops) ?? point.drops).map((drop, s) => {
    const tapping = tract.elements[s]?.end;
    if (Number.isNaN(drop) || tapping === undefined) return Number.NaN;
    if (tapping.reads === "total") return drop;
    const total = totalPressure({
      pressure: air.pressure - drop,
      temperature: air.temperature,
      flow: point.flow,
      area: disturbed.areas?.(tapping.area.value, s) ?? tapping.area.value,
      gasConstant: gasConstant(air),
    });
    return air.pressure - total;
  });
}

/** The same as reduced drops, in which the law is linear. */
function reducedReadings(
  tract: Tract,
  point: TractPoint,
  outside: MoistAir,
  disturbed: Disturbance = {},
): number[] {
  const { pressure } = point.air ?? outside;
  return stationDrops(tract, point, outside, disturbed).map((drop) =>
    Number.isNaN(drop) ? drop : reducedDrop(drop, pressure),
  );
}

/**
 * Fits the cumulative loss law of every station.
 *
 * @throws `E_TOO_LITTLE_DATA` with the station's name when its points are too few; `E_SINGULAR` when they are at one
 *   flow; `E_SHAPE` when a gauge names an element that is not there
 */
export function fitTract(
  tract: Tract,
  points: readonly TractPoint[],
  air: MoistAir,
  options: TractFitOptions,
): TractFit {
  const columns = options.law === "square" ? 1 : 2;
  const density = airDensity(air);
  const design = points.map((point) => {
    const here = point.air === undefined ? density : airDensity(point.air);
    const square = (point.flow * point.flow) / here;
    return columns === 1 ? [square] : [(point.flow * density) / here, square];
  });
  const readings = points.map((point) => reducedReadings(tract, point, air));
  const scatter = points.map((point) => point.scatter ?? 1);
  const stations = tract.elements.map((_, s) => ({ design, y: readings.map((row) => row[s] as number) }));
  const gauges = options.gauges.map((gauge) => ({ ...gauge, stations: stationsOf(gauge.elements, tract) }));
  stations.forEach((station, s) => {
    requireStation(station, points, columns, tract.elements[s]?.name as string);
  });

  // Errors of one standard uncertainty, carried through tapping and compression as the readings are.
  const gaugeErrors = disturbances(tract, gauges, options.partByPart).map((disturbed) => {
    const moved = points.map((point) => reducedReadings(tract, point, air, disturbed));
    return stations.map((one, s) =>
      one.y.map((y, k) => (Number.isNaN(y) ? 0 : (moved[k]?.[s] as number) - y)),
    );
  });
  if (options.independent === "pulls")
    return fitPulls(stations, points, scatter, columns, gaugeErrors, tract);
  const fit = linkedRegressions(stations, scatter);
  const stated = options.readingUncertainty;
  const step = options.resolution ?? foundStep(points, fit);
  const covariance =
    stated === undefined
      ? fit.covariance
      : stations.map((_, i) => stations.map((_, j) => (i === j ? stated * stated : 0)));
  if (covariance === null) {
    throw new BellmouthError({
      code: "E_TOO_LITTLE_DATA",
      message:
        "with as many coefficients as points nothing is left to judge the scatter by: measure more flows, use the " +
        'law "square", or state the uncertainty of a reading',
      found: `${points.length} points for ${columns} coefficients a station`,
      accepted: `at least ${columns + 1} points at every station`,
      at: { path: "points" },
    });
  }
  return {
    fit,
    covariance,
    estimated: stated === undefined,
    columns,
    place: (station, coefficient) => [station, coefficient],
    gaugeErrors,
    sharedRounding:
      step > 0
        ? sharedRounding(fit, stations, (s) => step * (options.partByPart ? Math.sqrt(s + 1) : 1))
        : [],
    stepVariance: step ** 2 / 12,
  };
}

type Gauge = TractFitOptions["gauges"][number] & { readonly stations: ReadonlySet<number> };

/** One disturbance for each stated error: zero and scale of every gauge, area at every static tapping. */
function disturbances(tract: Tract, gauges: readonly Gauge[], partByPart: boolean): Disturbance[] {
  const read = (drops: readonly number[], s: number): number =>
    partByPart && s > 0 ? (drops[s] as number) - (drops[s - 1] as number) : (drops[s] as number);
  const moved =
    (gauge: Gauge, error: (reading: number) => number) =>
    (drops: readonly number[]): number[] => {
      let carried = 0;
      return drops.map((drop, s) => {
        const own = gauge.stations.has(s) ? error(read(drops, s)) : 0;
        if (!partByPart) return drop + own;
        carried += own;
        return drop + carried;
      });
    };
  return [
    ...gauges.flatMap((gauge) => [
      { drops: moved(gauge, () => gauge.zero) },
      { drops: moved(gauge, (reading) => gauge.gain * reading) },
    ]),
    ...tract.elements.flatMap((element, s) =>
      element.end.reads === "static" && element.end.area.u > 0
        ? [
            {
              areas: (area: number, at: number) =>
                area + (at === s ? (element.end as { area: { u: number } }).area.u : 0),
            },
          ]
        : [],
    ),
  ];
}

/** Steps of scatter at most for which readings that fall on round values are taken to be rounded [1]: a rounding alone makes 0.29. */
const ROUNDED = 6;

/**
 * Step that the readings fall on, 0 for none. Readings that were taken at round values, as on a bench, fit their law far
 * better than such a step would allow, and are not rounded to it.
 */
function foundStep(points: readonly TractPoint[], fit: LinkedFit): number {
  const step = stepOf(points.flatMap((point) => [...point.drops])) ?? 0;
  const scatter =
    fit.covariance?.reduce((most, row, s) => Math.max(most, Math.sqrt(row[s] as number)), 0) ?? 0;
  return step <= ROUNDED * scatter ? step : 0;
}

/** Each pull fitted by itself; the pulls' coefficients are then the observations. */
function fitPulls(
  stations: readonly LinkedSeries[],
  points: readonly TractPoint[],
  scatter: readonly number[],
  columns: 1 | 2,
  gaugeErrors: readonly SharedError[],
  tract: Tract,
): TractFit {
  const pulls = [...new Set(points.map((point) => point.pull))];
  const coefficientsOf = (response: readonly (readonly number[])[]): number[][] => {
    // rows: station-coefficient, columns: pull
    const rows = Array.from({ length: stations.length * columns }, () =>
      new Array<number>(pulls.length).fill(Number.NaN),
    );
    pulls.forEach((pull, r) => {
      stations.forEach((station, s) => {
        const kept = points.flatMap((point, k) =>
          point.pull === pull && !Number.isNaN(station.y[k]) ? [k] : [],
        );
        if (new Set(kept.map((k) => points[k]?.flow)).size < columns) return;
        const fit = linkedRegressions(
          [
            {
              design: kept.map((k) => station.design[k] as readonly number[]),
              y: kept.map((k) => response[s]?.[k] as number),
            },
          ],
          kept.map((k) => scatter[k] as number),
        );
        fit.series[0]?.coefficients.forEach((value, c) => {
          (rows[s * columns + c] as number[])[r] = value;
        });
      });
    });
    return rows;
  };
  const readings = stations.map((station) => station.y);
  const rows = coefficientsOf(readings);
  rows.forEach((row, i) => {
    const usable = row.filter((value) => !Number.isNaN(value)).length;
    if (usable >= 2) return;
    throw new BellmouthError({
      code: "E_TOO_LITTLE_DATA",
      message: "to compare pulls, every station needs at least two pulls with enough points each",
      found: `${usable} such pulls`,
      accepted: `two or more pulls with ${columns} or more flows`,
      at: { path: tract.elements[Math.floor(i / columns)]?.name ?? "points" },
    });
  });
  const ones = pulls.map(() => [1]);
  const fit = linkedRegressions(
    rows.map((y) => ({ design: ones, y })),
    pulls.map(() => 1),
  );
  const errorsOf = (error: SharedError): SharedError =>
    coefficientsOf(
      error.map((row, s) => row.map((value, k) => (Number.isNaN(readings[s]?.[k]) ? Number.NaN : value))),
    ).map((row) => row.map((value) => (Number.isNaN(value) ? 0 : value)));
  return {
    fit,
    covariance: fit.covariance as Rows,
    estimated: true,
    columns,
    place: (station, coefficient) => [station * columns + coefficient, 0],
    gaugeErrors: gaugeErrors.map(errorsOf),
    sharedRounding: [],
    stepVariance: 0,
  };
}

function stationsOf(names: readonly string[], tract: Tract): ReadonlySet<number> {
  return new Set(
    names.map((name) => {
      const at = tract.elements.findIndex((element) => element.name === name);
      if (at >= 0) return at;
      throw new BellmouthError({
        code: "E_SHAPE",
        message: "a gauge names an element that the tract does not have",
        found: name,
        accepted: tract.elements.map((element) => element.name).join(", "),
        at: { path: "gauges" },
      });
    }),
  );
}

function requireStation(
  station: LinkedSeries,
  points: readonly TractPoint[],
  columns: number,
  name: string,
): void {
  const flows = points.flatMap((point, k) => (Number.isNaN(station.y[k]) ? [] : [point.flow as number]));
  if (!(flows.length >= columns)) {
    throw new BellmouthError({
      code: "E_TOO_LITTLE_DATA",
      message: `the station after "${name}" has too few readings for the law`,
      found: `${flows.length} readings`,
      accepted: `at least ${columns}, and one more to judge their scatter`,
      at: { path: `elements.${name}` },
    });
  }
  if (new Set(flows).size < columns) {
    throw new BellmouthError({
      code: "E_SINGULAR",
      message: `the readings after "${name}" are all at one flow: the linear and the square part cannot be told apart`,
      found: `${flows.length} readings at ${flows[0]} kg/s`,
      accepted: 'readings at several flows, or the law "square"',
      at: { path: `elements.${name}` },
    });
  }
}
