import { BellmouthError, requireNumber } from "../../fault/index.js";
import type { Uncertain } from "../../sensor/index.js";
import {
  type Area,
  kilogramsPerCubicMetre,
  type MassFlow,
  type Pressure,
  pascals,
} from "../../units/index.js";
import type { Estimate } from "../estimate.js";
import { interval as intervalAbout } from "../interval.js";
import { type ElementLoss, engineOnLosses, lossDrops, pressureAfter, type TractFlow } from "./loss.js";
import { squareOfLoss } from "./loss-coefficient.js";
import type { ElementResult, RestrictionBudget } from "./restriction-budget.js";

/** A change to one element. */
export type TractChange =
  | {
      readonly change: "bore";
      readonly element: string;
      /** Open area after the change [m^2]; the one before is the element's own. */
      readonly area: Uncertain<Area>;
      /** Ratio of the new K to the old, with its uncertainty [1]. The same shape in another size is 1; it must be said. */
      readonly kRatio: Uncertain;
      /** Loss b that new steps to the unchanged ducts add [1/m^4]: see `stepLosses`. None when not given. */
      readonly steps?: number;
    }
  | {
      readonly change: "remove";
      readonly element: string;
      /**
       * What is left in its place, as a loss on the head of an area [m^2]: taking off a snorkel leaves a bare inlet. Nothing
       * is left when not given: the caller's claim.
       */
      readonly left?: { readonly area: Uncertain<Area>; readonly k: Uncertain };
    };

export interface PredictionOptions {
  /**
   * "follows density": at one speed the engine draws a volume, so that its flow follows the pressure at the end of the tract.
   * "held": a boost control holds the manifold, and with it the flow. "follows density" when not given.
   */
  readonly flow?: "follows density" | "held";
}

/** What a change would do, at the budget's peak flow and at the same engine speed. */
export interface TractPrediction {
  readonly kind: "tract prediction";
  readonly change: TractChange;
  /** Drop of the element at the peak flow [Pa]: now, and after the change. */
  readonly before: Estimate;
  readonly after: Estimate;
  /** What is gained at the peak flow [Pa]. */
  readonly saved: Estimate;
  /** Total pressure at the end of the tract now, at the peak flow [Pa]. */
  readonly pressureBefore: Pressure;
  /** The same after the change, at the same flow [Pa]. */
  readonly pressureAfter: Pressure;
  /** At the same engine speed: pressure [Pa] and flow [kg/s]; see `PredictionOptions.flow`. */
  readonly atSpeed: { readonly pressure: Pressure; readonly flow: MassFlow };
  /** Rise of pressure at the same engine speed [Pa]. */
  readonly rise: Estimate;
  readonly losses: readonly ElementLoss[];
}

/**
 * Predicts what a change of one element does to the tract.
 *
 * For a bore: both coefficients of the element scale with (A_old/A_new)^2 (the square part for a given K, the viscous
 * part of a duct of given length by Poiseuille), times the ratio of K that the caller states.
 *
 * @param budget measured budget
 * @param change  area [m^2] and K ratio [1], or an element to remove and what is left of it
 * @param options whether the flow follows the pressure, or is held by a boost control
 * @throws `E_TOO_LITTLE_DATA` when the tract's drop is not distinguishable from zero; `E_SHAPE` on an unknown element, `E_DOMAIN` on areas and ratios, or when the element has no area of its own
 */
export function predictChange(
  budget: RestrictionBudget,
  change: TractChange,
  options: PredictionOptions = {},
): TractPrediction {
  if (budget.flags.includes("total not distinguishable from zero")) {
    throw new BellmouthError({
      code: "E_TOO_LITTLE_DATA",
      message: "the drop of the tract is not distinguishable from zero, so nothing can be said of a change",
      found: `an interval that reaches ${Math.round(budget.total.to ?? 0)} Pa from zero`,
      accepted: "readings at more or higher flows, or of a finer gauge",
      at: { path: "change" },
    });
  }
  const j = budget.elements.findIndex((element) => element.name === change.element);
  const element = budget.elements[j];
  if (element === undefined) {
    throw new BellmouthError({
      code: "E_SHAPE",
      message: "the budget has no such element",
      found: change.element,
      accepted: budget.elements.map((one) => one.name).join(", "),
      at: { path: "change.element" },
    });
  }
  const factor = scaleOf(element, change);
  const at: TractFlow = {
    flow: budget.peak,
    density: kilogramsPerCubicMetre(budget.density),
    pressure: budget.air.pressure,
  };
  const now = budget.elements.map((one) => one.loss);
  const changed = now.map((loss, i) =>
    i === j
      ? {
          ...loss,
          linear: loss.linear * factor.value,
          square: loss.square * factor.value + factor.steps,
        }
      : loss,
  );
  const pressureBefore = pressureAfter(now, at);
  const afterSameFlow = pressureAfter(changed, at);
  const atSpeed =
    options.flow === "held"
      ? { flow: at.flow, pressure: pascals(afterSameFlow) }
      : engineOnLosses(now, changed, at);
  const newDrop = lossDrops(changed, at)[j] as number;
  const saved = element.drop.value - newDrop;
  // First order: the saving is (1 - f) times the measured drop, less what the factor's own doubt is worth.
  // What is left of a removed part is stated, and adds its own.
  const added = factor.stepsU * ((at.flow * at.flow) / at.density);
  const uSaved = Math.hypot((1 - factor.value) * element.drop.u, factor.u * element.drop.value, added);
  const share = uSaved > 0 ? Math.abs((1 - factor.value) * element.drop.u) / uSaved : 1;
  const make = (value: number, scale: number, u: number, shareOfDrop: number): Estimate =>
    interval(value * scale, u * scale, element.drop, shareOfDrop);
  const moved = atSpeed.pressure - pressureBefore;
  // A change of nothing is nothing, not the last digit of two pressures.
  const rise = Math.abs(moved) < 1e-12 * at.pressure ? 0 : moved;
  const uAfter = Math.hypot(factor.value * element.drop.u, factor.u * element.drop.value, added);
  return {
    kind: "tract prediction",
    change,
    before: element.drop,
    after: make(newDrop, 1, uAfter, uAfter > 0 ? (factor.value * element.drop.u) / uAfter : 1),
    saved: make(saved, 1, uSaved, share),
    pressureBefore,
    pressureAfter: pascals(afterSameFlow),
    atSpeed,
    rise: make(rise, 1, saved !== 0 ? (uSaved * Math.abs(rise)) / Math.abs(saved) : uSaved, share),
    losses: changed,
  };
}

/** An interval about a value whose variance is partly the drop's (estimated) and partly stated. */
function interval(value: number, u: number, drop: Estimate, shareOfDrop: number): Estimate {
  const freedom =
    drop.degreesOfFreedom === null || !(shareOfDrop > 0)
      ? null
      : drop.degreesOfFreedom / Math.min(1, shareOfDrop) ** 4;
  return intervalAbout(value, u, freedom, drop.confidence);
}

/** Factor on the element's loss, its standard uncertainty, and the loss that steps add. */
function scaleOf(
  element: ElementResult,
  change: TractChange,
): { readonly value: number; readonly u: number; readonly steps: number; readonly stepsU: number } {
  if (change.change === "remove") {
    if (change.left === undefined) return { value: 0, u: 0, steps: 0, stepsU: 0 };
    const { area, k } = change.left;
    requireNumber(area.value, "change.left.area.value", "m^2", { from: 1e-6, to: 1 });
    requireNumber(area.u, "change.left.area.u", "m^2", { from: 0, under: area.value });
    requireNumber(k.u, "change.left.k.u", "1", { from: 0 });
    const steps = squareOfLoss(k.value, area.value);
    const perK = squareOfLoss(1, area.value);
    return {
      value: 0,
      u: 0,
      steps,
      stepsU: Math.hypot(perK * k.u, (2 * steps * area.u) / area.value),
    };
  }
  if (element.area === null) {
    throw new BellmouthError({
      code: "E_DOMAIN",
      message: "to change the bore of an element, its present area must be known",
      found: `"${element.name}" without an area`,
      accepted: "an area for the element in the tract",
      at: { path: "change.element" },
    });
  }
  requireNumber(change.area.value, "change.area.value", "m^2", { from: 1e-6, to: 1 });
  requireNumber(change.area.u, "change.area.u", "m^2", { from: 0, under: change.area.value });
  requireNumber(change.kRatio.value, "change.kRatio.value", "1", { from: 0, to: 100 });
  requireNumber(change.kRatio.u, "change.kRatio.u", "1", { from: 0 });
  const steps = requireNumber(change.steps ?? 0, "change.steps", "1/m^4", { from: 0 });
  const square = (element.area.value / change.area.value) ** 2;
  const u = Math.hypot(
    square * change.kRatio.u,
    square *
      change.kRatio.value *
      2 *
      Math.hypot(change.area.u / change.area.value, element.area.u / element.area.value),
  );
  return { value: square * change.kRatio.value, u, steps, stepsU: 0 };
}
