import { airDensity, gasConstant, type MoistAir, machNumber } from "../../air/index.js";
import { requireNumber } from "../../fault/index.js";
import { type Density, kilogramsPerSecond, pascals } from "../../units/index.js";
import type { Estimate } from "../estimate.js";
import { quantile } from "../interval.js";
import {
  minusWeights,
  shareEstimate,
  stationWeights,
  stepDecides,
  valueEstimate,
  type Weights,
} from "./intervals.js";
import { combine, covarianceOfLoads, loadsOf } from "./linked-regressions.js";
import { type ElementLoss, lossDrops, reducedLoss, type TractFlow } from "./loss.js";
import { nonNegativePair } from "./quadrant.js";
import type {
  ElementFlag,
  ElementResult,
  RestrictionBudget,
  RestrictionFlag,
  RestrictionOptions,
} from "./restriction-budget.js";
import { pullsDiffer, requireSigns, scatterAboveStated } from "./scatter-checks.js";
import { actualDrop } from "./station-pressure.js";
import { requireTract, type Tract, type TractElement, type TractPoint } from "./tract.js";
import { fitTract, stationDrops, type TractFit } from "./tract-fit.js";

/** Mach number over which a loss coefficient stops being a constant of the element [1]. */
const FAST = 0.3;

/**
 * Restriction budget of an intake tract: what each element takes of the drop from the outside air to the last station,
 * with intervals.
 *
 * Each element obeys dp = a m (rho0/rho) + b m^2/rho with a, b >= 0, the density rho of its place and rho0 of the outside
 * air. Values are constrained estimates. Intervals come from the free fit, whose errors are Student-t whatever the
 * stations' errors have in common, and are cut where the truth cannot be: so they hold at the bound a = 0 as elsewhere.
 *
 * @param tract   elements in the order of the air, with areas [m^2] where static tappings, K or Mach numbers need them
 * @param points  flows [kg/s] and drops below the outside air [Pa] per station; NaN where a station was not read
 * @param air     outside air: pressure [Pa], temperature [K], relative humidity [1]
 * @param options confidence [1], peak flow [kg/s], gauges and uncertainties [Pa]
 * @throws `E_SHAPE`, `E_DOMAIN`, `E_TOO_LARGE` on input, and `E_DOMAIN` when a station lies above the outside air; `E_TOO_LITTLE_DATA` when a station has too few points for
 *   the law and no uncertainty of a reading is stated; `E_SINGULAR` when its points are all at one flow
 * @source P. Forchheimer, Z. Ver. Dtsch. Ing. 45 (1901) 1782 for the two-term law; E. C. Fieller, J. R. Stat. Soc. B
 *   16 (1954) 175 for intervals of shares
 */
export function restrictionBudget(
  tract: Tract,
  points: readonly TractPoint[],
  air: MoistAir,
  options: RestrictionOptions = {},
): RestrictionBudget {
  const confidence = requireNumber(options.confidence ?? 0.95, "confidence", "1", { from: 0.5, under: 1 });
  requireNumber(air.pressure, "air.pressure", "Pa", { from: 20_000, to: 120_000 });
  const density = airDensity(air);
  requireTract(
    tract,
    points,
    points.map((point) => point.air?.pressure ?? air.pressure),
  );
  const fit = fitTract(tract, points, air, {
    law: options.law ?? "linear and square",
    independent: options.independent ?? "points",
    gauges: options.gauges ?? [],
    partByPart: options.measured === "part by part",
    resolution: options.resolution,
    readingUncertainty: options.readingUncertainty,
  });
  requireSigns(fit, tract, points, options);
  const flows = points.map((point) => point.flow as number);
  const flowTo = flows.reduce((most, flow) => Math.max(most, flow), 0);
  const peak = requireNumber(options.peak ?? flowTo, "peak", "kg/s", { over: 0, to: 10 });
  const at: TractFlow = { flow: kilogramsPerSecond(peak), density, pressure: air.pressure };

  const losses = tract.elements.map((_, j) => constrainedLoss(fit, j, density));
  const drops = lossDrops(losses, at);
  const total = drops.reduce<number>((sum, drop) => sum + drop, 0);
  const free = freeDrops(fit, tract.elements.length, at);
  const elements = tract.elements.map((element, j): ElementResult => {
    const loss = losses[j] as ElementLoss;
    const value = drops[j] as number;
    const weights = free.weights[j] as Weights;
    const own = { above: free.drops[j] as number, below: free.total };
    const drop = valueEstimate(fit, weights, own.above, value, confidence);
    const share = shareEstimate(
      fit,
      { above: weights, below: free.allWeights },
      own,
      total > 0 ? value / total : 0,
      confidence,
    );
    const speed = speedIn(element, losses, j, air, at);
    const reduced = reducedLoss(loss, at);
    return {
      name: element.name,
      ...(element.role === undefined ? {} : { role: element.role }),
      area: element.area ?? null,
      loss,
      linear: fit.columns === 1 ? null : coefficient(fit, j, 0, loss.linear, confidence),
      square: coefficient(fit, j, fit.columns - 1, loss.square, confidence),
      drop,
      share,
      k: element.area === undefined ? null : lossCoefficient(drop, reduced, element.area, at),
      velocity: speed?.velocity ?? null,
      mach: speed?.mach ?? null,
      thinning: reduced > 0 ? value / reduced : 1,
      flags: elementFlags(fit, j, drop, speed?.mach),
    };
  });
  const totalEstimate = valueEstimate(fit, free.allWeights, free.total, total, confidence);
  const flag = (is: boolean, name: RestrictionFlag): RestrictionFlag[] => (is ? [name] : []);
  return {
    kind: "restriction budget",
    air,
    density,
    peak: at.flow,
    elements,
    total: totalEstimate,
    residual: tract.elements.map((_, s) =>
      fit.estimated && options.independent !== "pulls" ? Math.sqrt(fit.covariance[s]?.[s] as number) : null,
    ),
    readings: {
      flow: flows,
      drops: points.map((point) =>
        stationDrops(tract, point, air).map((drop) => (Number.isNaN(drop) ? null : drop)),
      ),
    },
    points: points.length,
    flowFrom: flows.reduce((least, flow) => Math.min(least, flow), flowTo),
    flowTo,
    confidence,
    flags: [
      ...flag(totalEstimate.degreesOfFreedom !== null && totalEstimate.degreesOfFreedom < 4, "few points"),
      ...flag(peak > flowTo * (1 + 1e-9), "peak beyond data"),
      ...flag(options.independent !== "pulls" && pullsDiffer(fit, points), "pulls differ"),
      ...flag(stepDecides(fit, free.allWeights), "gauge step decides"),
      ...flag(options.gauges === undefined, "gauges unstated"),
      ...flag(scatterAboveStated(fit), "scatter above stated"),
      ...flag(
        !(totalEstimate.from !== null && totalEstimate.from > 0),
        "total not distinguishable from zero",
      ),
    ],
  };
}

/** The meter housing's line of a budget, or undefined when no element has that role. */
export const meterHousing = (budget: RestrictionBudget): ElementResult | undefined =>
  budget.elements.find((element) => element.role === "meter housing");

/** Cumulative drops of the free fit, as actual pressures, with the weights that each is a combination by. */
function freeDrops(
  fit: TractFit,
  stations: number,
  at: TractFlow,
): {
  readonly drops: readonly number[];
  readonly total: number;
  readonly weights: readonly Weights[];
  readonly allWeights: Weights;
} {
  const square = (at.flow * at.flow) / at.density;
  const row = fit.columns === 1 ? [square] : [at.flow as number, square];
  const cumulative = Array.from({ length: stations }, (_, s) => {
    const reduced = Math.min(combine(fit.fit, stationWeights(fit, s, row)), 0.45 * at.pressure);
    // Slope of the actual over the reduced drop: outside pressure over the pressure at the station.
    const slope = 1 / Math.sqrt(1 - (2 * reduced) / at.pressure);
    return {
      drop: actualDrop(reduced, at.pressure),
      weights: stationWeights(
        fit,
        s,
        row.map((x) => x * slope),
      ),
    };
  });
  const last = cumulative[stations - 1] as (typeof cumulative)[number];
  return {
    drops: cumulative.map((one, s) => one.drop - (cumulative[s - 1]?.drop ?? 0)),
    total: last.drop,
    weights: cumulative.map((one, s) => {
      const before = cumulative[s - 1];
      return before === undefined ? one.weights : minusWeights(one.weights, before.weights);
    }),
    allWeights: last.weights,
  };
}

/** Weights that pick coefficient c of an element: its end's less that of the station before it. */
function coefficientWeights(fit: TractFit, element: number, c: number): Weights {
  const row = Array.from({ length: fit.columns }, (_, i) => (i === c ? 1 : 0));
  const end = stationWeights(fit, element, row);
  return element === 0 ? end : minusWeights(end, stationWeights(fit, element - 1, row));
}

const coefficient = (
  fit: TractFit,
  element: number,
  c: number,
  constrained: number,
  confidence: number,
): Estimate => valueEstimate(fit, coefficientWeights(fit, element, c), undefined, constrained, confidence);

function constrainedLoss(fit: TractFit, element: number, density: Density): ElementLoss {
  const squareWeights = coefficientWeights(fit, element, fit.columns - 1);
  const square = combine(fit.fit, squareWeights);
  if (fit.columns === 1) return { linear: 0, square: Math.max(0, square), atDensity: density };
  const linearWeights = coefficientWeights(fit, element, 0);
  const a = loadsOf(fit.fit, linearWeights);
  const b = loadsOf(fit.fit, squareWeights);
  const pair = nonNegativePair({
    linear: combine(fit.fit, linearWeights),
    square,
    varianceLinear: covarianceOfLoads(fit.fit, fit.covariance, a, a),
    varianceSquare: covarianceOfLoads(fit.fit, fit.covariance, b, b),
    covariance: covarianceOfLoads(fit.fit, fit.covariance, a, b),
  });
  return { ...pair, atDensity: density };
}

/** Mean velocity [m/s] and Mach number [1] in an element's area, at the mean of the pressures before and after it. */
function speedIn(
  element: TractElement,
  losses: readonly ElementLoss[],
  j: number,
  air: MoistAir,
  at: TractFlow,
): { readonly velocity: number; readonly mach: number } | undefined {
  if (element.area === undefined) return undefined;
  const reduced = losses.slice(0, j + 1).map((loss) => reducedLoss(loss, at));
  const gone = reduced.reduce((sum, one) => sum + one, 0) - (reduced[j] as number) / 2;
  const pressure = at.pressure - actualDrop(gone, at.pressure);
  const mach = machNumber(
    {
      massFlow: at.flow,
      area: element.area.value,
      stagnationPressure: pascals(pressure),
      stagnationTemperature: air.temperature,
    },
    { gasConstant: gasConstant(air) },
  );
  const temperature = air.temperature / (1 + 0.2 * mach * mach);
  return { velocity: mach * Math.sqrt(1.4 * gasConstant(air) * temperature), mach };
}

/** K on the dynamic head m^2/(2 rho A^2), with the area's own uncertainty added to the drop's. */
function lossCoefficient(
  drop: Estimate,
  reduced: number,
  area: NonNullable<TractElement["area"]>,
  at: TractFlow,
): Estimate {
  const head = (at.flow * at.flow) / (2 * at.density * area.value * area.value);
  const scale = drop.value > 0 ? reduced / drop.value : 1;
  const value = reduced / head;
  const fromDrop = (drop.u * scale) / head;
  const u = Math.hypot(fromDrop, (2 * value * area.u) / area.value);
  const freedom =
    drop.degreesOfFreedom === null || !(fromDrop > 0) ? null : drop.degreesOfFreedom * (u / fromDrop) ** 4;
  const half = quantile(drop.confidence, freedom) * u;
  return {
    value,
    u,
    from: Math.max(0, value - half),
    to: value + half,
    degreesOfFreedom: freedom,
    confidence: drop.confidence,
  };
}

function elementFlags(fit: TractFit, j: number, drop: Estimate, mach: number | undefined): ElementFlag[] {
  const atBound = Array.from({ length: fit.columns }, (_, c) =>
    combine(fit.fit, coefficientWeights(fit, j, c)),
  ).some((value) => value < 0);
  const flags: ElementFlag[] = [];
  if (!(drop.from !== null && drop.from > 0)) flags.push("not distinguishable from zero");
  if (atBound) flags.push("at bound");
  if (mach !== undefined && mach > FAST) flags.push("fast");
  return flags;
}
