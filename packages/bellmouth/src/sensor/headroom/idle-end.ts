import { requireNumber } from "../../fault/index.js";
import type { MassFlow } from "../../units/index.js";
import type { TransferCurve } from "../transfer-curve.js";
import { flowAt, signalAt, type UsableSignal } from "./usable-signal.js";

/** How finely an input measures the signal. */
export type SignalResolution =
  /** a converter or any even step [Hz] or [V] */
  | { readonly kind: "step"; readonly step: number }
  /** a period timed with ticks [s]: f = 1/T, so one tick is worth f^2 tick, less where several periods are timed together */
  | { readonly kind: "tick"; readonly tick: number; readonly periods?: number };

/** The low end of a meter: where idle falls and how finely it is seen. */
export interface IdleEnd {
  /** [kg/s] */
  readonly flow: number;
  /** [Hz] or [V] */
  readonly signal: number;
  /** how far up the usable span that is [1]; below 0 under its bottom */
  readonly share: number;
  /** idle lies under the usable signal: the meter does not see it */
  readonly below: boolean;
  /** one step of the input at idle [Hz] or [V] */
  readonly step: number;
  /** flow one step is worth at idle [kg/s], and over the idle flow [1] */
  readonly flowPerStep: number;
  readonly stepShare: number;
}

/**
 * Where idle falls on a meter's curve, and how much flow one step of the input is worth there. A large bore buys room at
 * the top with this.
 *
 * @param curve      as the ECU executes it
 * @param usable     from `usableSignal`
 * @param idle       flow at idle [kg/s] > 0
 * @param resolution of the input: step [Hz] or [V], or tick [s]
 * @throws `E_DOMAIN` when a number is not positive
 * @example
 * const cell = (signal: number, flow: number) => ({ signal, flow, origin: "measured", budget: {}, flags: [] });
 * const curve = makeTransferCurve({ signal: "frequency", outside: "hold", cells: [cell(1000, 0.001), cell(2000, 0.005)] });
 * const usable = usableSignal(curve, {});
 * idleEnd(curve, usable, gramsPerSecond(3), { kind: "tick", tick: 1e-6 }).step // ≈ 2.25
 * idleEnd(curve, usable, gramsPerSecond(3), { kind: "tick", tick: 1e-6 }).stepShare // ≈ 0.003
 */
export function idleEnd(
  curve: TransferCurve,
  usable: UsableSignal,
  idle: MassFlow,
  resolution: SignalResolution,
): IdleEnd {
  const flow = requireNumber(idle, "idle", "kg/s", { over: 0 });
  const signal = Math.max(0, signalAt(curve, flow));
  const step = stepAt(resolution, signal);
  // The line through idle's own segment; half a step either side may reach the neighbour's, which the ECU reads too.
  const flowPerStep = flowAt(curve, signal + step / 2) - flowAt(curve, signal - step / 2);
  return {
    flow,
    signal,
    share: (signal - usable.from) / (usable.to - usable.from),
    below: signal < usable.from,
    step,
    flowPerStep,
    stepShare: flowPerStep / flow,
  };
}

/** One step of an input [Hz] or [V] at a signal. */
function stepAt(resolution: SignalResolution, signal: number): number {
  if (resolution.kind === "step") {
    return requireNumber(resolution.step, "resolution.step", "Hz or V", { over: 0 });
  }
  const tick = requireNumber(resolution.tick, "resolution.tick", "s", { over: 0 });
  const periods = requireNumber(resolution.periods ?? 1, "resolution.periods", "1", { from: 1 });
  return (signal * signal * tick) / periods;
}
