import { lineThrough } from "./interpolate.js";

/** Flow through the meter that swings with the inlet valves, where engine speed meets a resonance and the throttle is open. */
export interface PulsationSpec {
  /** Amplitude over the mean flow at its worst [1]; above 1 the flow turns back once a cycle: reversion. */
  readonly amplitude: number;
  /** Engine speed of the resonance [rev/s] and its width, standard deviation in ln speed [1]. */
  readonly speed: number;
  readonly width: number;
  /** Manifold over outside pressure at which the throttle begins to let pulses through [1]; in full at 1. */
  readonly loadFrom: number;
  /** What the ECU averages over a cycle: the flow its table gives, or the signal before the table. */
  readonly averages: "flow" | "signal";
}

const PHASES = Array.from({ length: 16 }, (_, k) => Math.sin((2 * Math.PI * (k + 0.5)) / 16));

/** Amplitude [1] at an engine speed [rev/s] and manifold over outside pressure [1]. */
export function pulsationAmplitude(spec: PulsationSpec, speed: number, load: number): number {
  const away = Math.log(Math.max(speed, 1) / spec.speed) / spec.width;
  const open = lineThrough([spec.loadFrom, 1], [0, 1], load);
  return spec.amplitude * Math.exp(-0.5 * away * away) * open;
}

/**
 * Signal that a pulsating flow of a mean [kg/s] gives on average. A thermal element does not know the direction, so it reads
 * |m|: with the flow averaged, nothing is wrong until the flow turns back, then too much is read. With the signal averaged, a
 * curve that bends upwards gives too little flow for the mean signal, and reversion works against that.
 *
 * @param signalOf signal of a steady flow
 * @source Mean of |1 + A sin x| and Jensen's inequality on the true curve. That thermal meters rectify reversed flow and read pulsating
 *   flow low: common practice, no source.
 */
export function pulsatingSignal(
  spec: PulsationSpec,
  flow: number,
  amplitude: number,
  signalOf: (flow: number) => number,
): number {
  if (amplitude < 0.02) return signalOf(flow);
  let sum = 0;
  for (const phase of PHASES) {
    const seen = flow * Math.abs(1 + amplitude * phase);
    sum += spec.averages === "flow" ? seen : signalOf(seen);
  }
  const mean = sum / PHASES.length;
  return spec.averages === "flow" ? signalOf(mean) : mean;
}
