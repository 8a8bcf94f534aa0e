import type { MoistAir } from "../../air/index.js";
import { BellmouthError, requireNumber } from "../../fault/index.js";
import {
  type CellFlag,
  type Demand,
  type HeadroomThresholds,
  type Housing,
  headroom,
  housingReynolds,
  type IdleEnd,
  idleEnd,
  type MeterLimits,
  openArea,
  rescaleTransferCurve,
  type ScenarioHeadroom,
  type SignalResolution,
  type SwapCorrelation,
  type TransferCurve,
  type Uncertain,
  type UsableSignal,
} from "../../sensor/index.js";
import type { Area, Length, MassFlow, PressureDifference } from "../../units/index.js";
import { type HousingLoss, housingDrop, housingMach } from "./housing-drop.js";

/** A flow asked of the meter, and the air it is asked in. */
export interface SweptDemand extends Demand {
  readonly air?: MoistAir;
}

/** What stays the same from bore to bore. */
export interface BoreSweep {
  /** the element's curve for `from` */
  readonly curve: TransferCurve;
  readonly from: Housing;
  /** housing in mind, round; its bore is replaced, its uncertainty of the bore kept [m] */
  readonly to: Housing;
  /** air at the meter */
  readonly air: MoistAir;
  readonly limits: MeterLimits;
  /** at least one; each with the air of its day, where that is not the sweep's */
  readonly demands: readonly SweptDemand[];
  readonly thresholds: HeadroomThresholds;
  /** flow at idle [kg/s] and how finely the input sees it; without it the low end is not judged */
  readonly idle?: { readonly flow: MassFlow; readonly resolution: SignalResolution };
  /** without it no drop is predicted */
  readonly loss?: HousingLoss;
  readonly correlation?: SwapCorrelation;
  /** the curve was made in another place, see `HousingSwap` */
  readonly elsewhere?: boolean;
}

/** The low end of one bore. */
export interface SweptIdle extends IdleEnd {
  /** pipe Reynolds number at idle [1] */
  readonly reynolds: number;
  /** transition, as cells are flagged */
  readonly flags: readonly CellFlag[];
}

/** One bore of a sweep. */
export interface SweptBore {
  /** [m] */
  readonly bore: Length;
  /** [m^2] */
  readonly openArea: Area;
  /** flow at the usable signal's top over the given housing's at that signal [1] */
  readonly flowRatio: number;
  readonly usable: UsableSignal;
  /** by demand, in the order given */
  readonly scenarios: readonly ScenarioHeadroom[];
  readonly idle: SweptIdle | null;
  /** the largest predicted of any demand, each in its own air [Pa]; u holds the demand's too; null where no loss was given */
  readonly drop: Uncertain<PressureDifference> | null;
  /** the largest of any demand [1] */
  readonly mach: number;
}

/**
 * A meter over a range of bores: for each, how far the flow at one signal moves, room at the top for every demand, the
 * signal and resolution at idle, Reynolds number there, predicted drop, Mach number.
 *
 * @param sweep what stays the same: the curve and its housing, the housing in mind, air, limits, demands
 * @param bores [m], one or more, each large enough for the probe
 * @throws `E_DOMAIN` when the housing in mind is not round, a bore is out of range, or as `rescaleTransferCurve` and
 *   `headroom`; `E_TOO_LITTLE_DATA` without a bore or a demand
 */
export function sweepBores(sweep: BoreSweep, bores: readonly Length[]): readonly SweptBore[] {
  const { section } = sweep.to;
  if (section.shape !== "round") {
    throw new BellmouthError({
      code: "E_DOMAIN",
      message: "only a round housing has a bore to sweep",
      found: section.shape,
      accepted: "round",
      at: { path: "sweep.to.section.shape" },
    });
  }
  if (bores.length === 0 || sweep.demands.length === 0) {
    throw new BellmouthError({
      code: "E_TOO_LITTLE_DATA",
      message: "a sweep needs a bore and a demand",
      found: `${bores.length} bores, ${sweep.demands.length} demands`,
      accepted: "one or more of each",
      at: { path: bores.length === 0 ? "bores" : "sweep.demands" },
    });
  }
  return bores.map((bore, i) => {
    requireNumber(bore, `bores[${i}]`, "m", { over: 0 });
    return sweepOne(sweep, {
      ...sweep.to,
      section: { shape: "round", bore: { value: bore, u: section.bore.u } },
    });
  });
}

function sweepOne(sweep: BoreSweep, to: Housing): SweptBore {
  const { correlation, elsewhere = false } = sweep;
  const { curve, cells } = rescaleTransferCurve(sweep.curve, {
    from: sweep.from,
    to,
    air: sweep.air,
    elsewhere,
    ...(correlation === undefined ? {} : { correlation }),
  });
  const { usable, scenarios } = headroom(curve, sweep.limits, sweep.demands, sweep.thresholds);
  const top = curve.cells.findLastIndex((cell) => cell.signal <= usable.to);
  return {
    bore: to.section.shape === "round" ? to.section.bore.value : (0 as Length),
    openArea: openArea(to),
    flowRatio: (cells[Math.max(0, top)] as { factor: number }).factor,
    usable,
    scenarios,
    idle: sweep.idle === undefined ? null : sweptIdle(sweep, sweep.idle, curve, usable, to),
    drop: sweep.loss === undefined ? null : largestDrop(sweep, sweep.loss, to),
    mach: sweep.demands.reduce(
      (most, { flow, air }) => Math.max(most, housingMach(to, flow.value, air ?? sweep.air)),
      0,
    ),
  };
}

/** The largest drop of any demand, the demand's own uncertainty in it. */
function largestDrop(sweep: BoreSweep, loss: HousingLoss, to: Housing): Uncertain<PressureDifference> {
  const measuredIn = loss.kind === "drop" && loss.air === undefined ? { ...loss, air: sweep.air } : loss;
  return sweep.demands
    .map(({ flow, air }) => {
      const drop = housingDrop(measuredIn, to, flow.value, air ?? sweep.air);
      return { value: drop.value, u: Math.hypot(drop.u, (2 * drop.value * flow.u) / flow.value) };
    })
    .reduce((a, b) => (b.value > a.value ? b : a));
}

function sweptIdle(
  sweep: BoreSweep,
  idle: { readonly flow: MassFlow; readonly resolution: SignalResolution },
  curve: TransferCurve,
  usable: UsableSignal,
  to: Housing,
): SweptIdle {
  const reynolds = housingReynolds(to.section, idle.flow, sweep.air.temperature);
  // Only a long pipe has a transition there.
  const between = to.run === "developed" && reynolds >= 2000 && reynolds <= 4000;
  const flags: readonly CellFlag[] = between ? ["transition"] : [];
  return { ...idleEnd(curve, usable, idle.flow, idle.resolution), reynolds, flags };
}
