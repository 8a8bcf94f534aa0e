import { requireNumber } from "../../fault/index.js";
// Not from the room's index, which brings matrix code with it.
import { normalCdf } from "../../fit/distributions.js";
import type { MassFlow } from "../../units/index.js";
import type { Uncertain } from "../housing.js";
import type { TransferCurve } from "../transfer-curve.js";
import { type MeterLimits, signalAt, type UsableSignal, usableSignal } from "./usable-signal.js";

/** A flow the meter will be asked to measure. */
export interface Demand {
  readonly name: string;
  /** [kg/s], u its standard uncertainty */
  readonly flow: Uncertain<MassFlow>;
  /**
   * Relative standard uncertainty [1] that demand and curve have in common, and that therefore cancels: a peak logged
   * with the very table that the curve was rescaled from. No more than either's own counts. None when not given, which is
   * the cautious side.
   */
  readonly shared?: number;
}

/** From where on a scenario or a cell is watched. No defaults: they decide what a person is told to worry about. */
export interface HeadroomThresholds {
  /** share of the usable signal from which a scenario or cell is to be watched [1], 0 to 1 */
  readonly watchShare: number;
  /** probability of running past the usable signal from which a scenario is to be watched [1] */
  readonly watchChance: number;
  /** probability from which it counts as over [1], above `watchChance` */
  readonly overChance: number;
}

export type HeadroomState = "clear" | "watch" | "over";

/** How one demand fits into the usable signal. */
export interface ScenarioHeadroom {
  readonly name: string;
  /** [kg/s] */
  readonly demand: number;
  /** relative standard uncertainty of the demand [1] */
  readonly u: number;
  /** signal reached [Hz] or [V]; past the table's end by its last line carried on */
  readonly signal: number;
  /** how far up the usable span that is [1]; above 1 past its top */
  readonly share: number;
  /** flow left at the top [kg/s], and over the demand [1]; negative when there is none */
  readonly flowLeft: number;
  readonly flowLeftShare: number;
  /** probability that the demand lies past the usable signal [1]: normal in ln flow, curve's and demand's doubts joined */
  readonly chanceOver: number;
  readonly state: HeadroomState;
  /** Last cell the demand needs, by index; null when it runs past the table. */
  readonly lastCell: number | null;
}

/** Room of one cell. */
export interface CellHeadroom {
  /** over: past the usable signal, so never of use; watch: in its top part; clear otherwise */
  readonly state: HeadroomState;
  /** names of the demands that need this cell */
  readonly reachedBy: readonly string[];
}

export interface Headroom {
  readonly usable: UsableSignal;
  readonly scenarios: readonly ScenarioHeadroom[];
  /** one per cell of the curve */
  readonly cells: readonly CellHeadroom[];
}

/**
 * Room between what will be asked of a meter and what it can say.
 *
 * @param curve      as the ECU executes it, with its budgets
 * @param limits     of sensor and input [Hz] or [V], of storage [kg/s]
 * @param demands    flows [kg/s] > 0
 * @param thresholds shares and probabilities [1]
 * @throws `E_DOMAIN` as `usableSignal`, on a demand that is not positive, or thresholds out of range
 */
export function headroom(
  curve: TransferCurve,
  limits: MeterLimits,
  demands: readonly Demand[],
  thresholds: HeadroomThresholds,
): Headroom {
  const { watchShare, watchChance, overChance } = thresholds;
  requireNumber(watchShare, "thresholds.watchShare", "1", { over: 0, to: 1 });
  requireNumber(watchChance, "thresholds.watchChance", "1", { over: 0, under: 1 });
  requireNumber(overChance, "thresholds.overChance", "1", { over: watchChance, under: 1 });
  const usable = usableSignal(curve, limits);
  const shareOf = (signal: number): number => (signal - usable.from) / (usable.to - usable.from);

  const scenarios = demands.map((demand, i): ScenarioHeadroom => {
    const flow = requireNumber(demand.flow.value, `demands[${i}].flow.value`, "kg/s", { over: 0 });
    const u = requireNumber(demand.flow.u, `demands[${i}].flow.u`, "kg/s", { from: 0 }) / flow;
    // Neither side can share more than it has.
    const shared = Math.min(
      requireNumber(demand.shared ?? 0, `demands[${i}].shared`, "1", { from: 0, to: 1 }),
      u,
      usable.u,
    );
    const signal = signalAt(curve, flow);
    const share = shareOf(signal);
    const chanceOver = chanceAbove(
      flow,
      usable.flowTo,
      Math.sqrt(u * u + usable.u ** 2 - 2 * shared * shared),
    );
    const next = curve.cells.findIndex((cell) => cell.flow >= flow);
    return {
      name: demand.name,
      demand: flow,
      u,
      signal,
      share,
      flowLeft: usable.flowTo - flow,
      flowLeftShare: usable.flowTo / flow - 1,
      chanceOver,
      state:
        chanceOver >= overChance
          ? "over"
          : chanceOver >= watchChance || share >= watchShare
            ? "watch"
            : "clear",
      lastCell: next < 0 ? null : next,
    };
  });
  const cells = curve.cells.map((cell, i): CellHeadroom => {
    const share = shareOf(cell.signal);
    return {
      state: share > 1 || share < 0 ? "over" : share >= watchShare ? "watch" : "clear",
      // A flow between two cells is read from both.
      reachedBy: scenarios
        .filter(({ lastCell }) => lastCell === null || i <= lastCell)
        .map(({ name }) => name),
    };
  });
  return { usable, scenarios, cells };
}

/** Probability [1] that a flow lies above another [kg/s], both known to a joint relative standard uncertainty u [1]: normal in ln flow. */
export function chanceAbove(flow: number, top: number, u: number): number {
  if (!(top > 0)) return 1;
  const apart = Math.log(flow / top);
  return u > 0 ? normalCdf(apart / u) : Number(apart > 0);
}
