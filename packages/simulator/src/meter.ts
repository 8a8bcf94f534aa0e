import type { TransferCurve } from "bellmouth/sensor";
import type { DriveSpec } from "./drive-spec.js";
import { lagShare, lineThrough } from "./interpolate.js";
import { makeMeterError } from "./meter-error.js";
import { pulsatingSignal, pulsationAmplitude } from "./pulsation.js";
import type { Random } from "./random.js";
import { STEP } from "./step.js";

/** Both directions of a transfer curve, straight lines, last segments carried on above the ends. */
export function readCurve(curve: TransferCurve): {
  readonly flow: (signal: number) => number;
  readonly signal: (flow: number) => number;
} {
  const signals = curve.cells.map((cell) => cell.signal);
  const flows = curve.cells.map((cell) => cell.flow);
  const extended = (x: readonly number[], y: readonly number[]) => (at: number) => {
    const last = x.length - 1;
    if (at > x[last]!) {
      return y[last]! + ((at - x[last]!) * (y[last]! - y[last - 1]!)) / (x[last]! - x[last - 1]!);
    }
    return lineThrough(x, y, at);
  };
  return { flow: extended(signals, flows), signal: extended(flows, signals) };
}

/** The meter and the ECU's reading of it: what it does wrongly, true curve backwards, lag, noise, converter's step, table. */
export function makeMeter(spec: DriveSpec, startFlow: number, random: Random) {
  const { meter } = spec.car;
  const truth = readCurve(meter.trueCurve);
  const table = readCurve(spec.table);
  let signal = truth.signal(startFlow);
  const { pulsation } = spec.faults;
  const readFlow = makeMeterError(spec.faults.meterError);
  return (
    flow: number,
    engineSpeed: number,
    load: number,
  ): { readonly signal: number; readonly metered: number } => {
    const seen = readFlow(flow);
    const shown =
      pulsation === undefined
        ? truth.signal(seen)
        : pulsatingSignal(pulsation, seen, pulsationAmplitude(pulsation, engineSpeed, load), truth.signal);
    // The element's lag acts on its signal.
    signal += (shown - signal) * lagShare(STEP, meter.timeConstant);
    const noisy = signal * (1 + meter.noise * random.normal());
    const read = meter.quantum > 0 ? Math.round(noisy / meter.quantum) * meter.quantum : noisy;
    return { signal: read, metered: table.flow(read) };
  };
}
