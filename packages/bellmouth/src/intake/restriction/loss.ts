import { BellmouthError, requireNumber } from "../../fault/index.js";
import {
  type Density,
  kilogramsPerSecond,
  type MassFlow,
  type Pressure,
  type PressureDifference,
  pascals,
  pascalsDifference,
} from "../../units/index.js";
import { actualDrop } from "./station-pressure.js";

/** "linear and square": a m + b m^2/rho. "square": the square alone, for elements without a filter or for few points. */
export type LossLaw = "linear and square" | "square";

/** Loss of one element: dp = linear * m * (atDensity/rho) + square * m^2/rho, with the density of the place. */
export interface ElementLoss {
  /** [Pa s/kg] in air of `atDensity`, >= 0 */
  readonly linear: number;
  /** [1/m^4], >= 0 */
  readonly square: number;
  /** density at which `linear` holds [kg/m^3]: the viscous part follows the speed, hence 1/rho */
  readonly atDensity: number;
}

/** Air that enters the tract, and how much of it. */
export interface TractFlow {
  /** [kg/s] */
  readonly flow: MassFlow;
  /** density of the outside air [kg/m^3] */
  readonly density: Density;
  /** pressure of the outside air [Pa] */
  readonly pressure: Pressure;
}

/** Drop [Pa] of one element in air that stays at the outside density. */
export const reducedLoss = (loss: ElementLoss, at: TractFlow): number =>
  (loss.linear * at.flow * loss.atDensity + loss.square * at.flow * at.flow) / at.density;

/**
 * Drop of total pressure over each element [Pa], the air thinning from one to the next.
 *
 * @param losses elements in the order of the air
 * @param at     flow [kg/s], outside density [kg/m^3] and pressure [Pa], all > 0
 * @throws `E_DOMAIN` on a flow that the tract cannot pass: half of the outside pressure or more would be lost
 * @example
 * const meter = { linear: 0, square: 40000, atDensity: 1.2 };
 * const at = { flow: gramsPerSecond(200), density: kilogramsPerCubicMetre(1.2), pressure: pascals(100000) };
 * lossDrops([meter], at)[0] // ≈ 1342.343
 */
export function lossDrops(losses: readonly ElementLoss[], at: TractFlow): PressureDifference[] {
  requireNumber(at.flow, "at.flow", "kg/s", { from: 0 });
  requireNumber(at.density, "at.density", "kg/m^3", { over: 0 });
  requireNumber(at.pressure, "at.pressure", "Pa", { over: 0 });
  let gone = 0;
  let before = 0;
  return losses.map((loss, i) => {
    requireNumber(loss.linear, `losses[${i}].linear`, "Pa s/kg", { from: 0 });
    requireNumber(loss.square, `losses[${i}].square`, "1/m^4", { from: 0 });
    gone += reducedLoss(loss, at);
    if (!(gone < 0.375 * at.pressure)) {
      throw new BellmouthError({
        code: "E_DOMAIN",
        message: "the tract cannot pass this flow: half of the outside pressure would be lost",
        found: `${at.flow} kg/s`,
        accepted: "a lower flow",
        at: { path: "at.flow" },
      });
    }
    const after = actualDrop(gone, at.pressure);
    const drop = pascalsDifference(after - before);
    before = after;
    return drop;
  });
}

/**
 * Total pressure at the end of the tract [Pa]: outside less every drop.
 *
 * @throws `E_DOMAIN` as `lossDrops`
 */
export const pressureAfter = (losses: readonly ElementLoss[], at: TractFlow): Pressure =>
  pascals(at.pressure - lossDrops(losses, at).reduce((sum, drop) => sum + drop, 0));

/** The engine on new losses, at the same speed and day. */
export interface EngineOnLosses {
  /** [kg/s] */
  readonly flow: MassFlow;
  /** pressure at the end of the tract [Pa] */
  readonly pressure: Pressure;
}

/**
 * What the engine draws when the losses change from `before` to `after`. At one speed an engine draws a volume, so its
 * mass flow follows the density, and with it the pressure, at the end of the tract: less restriction, more flow, and
 * so a little more drop again. Solved, not approximated.
 *
 * @param at the flow [kg/s] on the losses `before`, outside density [kg/m^3] and pressure [Pa]
 * @throws `E_DOMAIN` as `lossDrops`
 */
export function engineOnLosses(
  before: readonly ElementLoss[],
  after: readonly ElementLoss[],
  at: TractFlow,
): EngineOnLosses {
  const reference = pressureAfter(before, at);
  // g(q) = q * reference - pressure at flow q * m is increasing in q, and so has one root.
  let low = 0;
  let high = at.pressure / reference;
  const pressureAt = (ratio: number): number => {
    const gone = after.reduce(
      (sum, loss) => sum + reducedLoss(loss, { ...at, flow: kilogramsPerSecond(ratio * at.flow) }),
      0,
    );
    return gone < 0.375 * at.pressure ? at.pressure - actualDrop(gone, at.pressure) : 0;
  };
  for (let i = 0; i < 80 && high - low > 1e-15; i++) {
    const middle = (low + high) / 2;
    if (middle * reference < pressureAt(middle)) low = middle;
    else high = middle;
  }
  const ratio = (low + high) / 2;
  return { flow: kilogramsPerSecond(ratio * at.flow), pressure: pascals(ratio * reference) };
}
