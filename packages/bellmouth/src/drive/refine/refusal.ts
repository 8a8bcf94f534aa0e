import { curveEvaluator, inverseEvaluator } from "../../curve/index.js";
import { asCurve, type TransferCurve } from "../../sensor/index.js";
import type { Drive, DriveChannel } from "../drive.js";
import type { MixtureSource, RefusalReason } from "./types.js";

/** A drive ready to be laid on its grid, or why it cannot be. */
export type Prepared =
  | { readonly drive: Drive; readonly source: MixtureSource }
  | { readonly reason: RefusalReason; readonly text: string };

const holds = (channel: DriveChannel | undefined, least: number): channel is DriveChannel => {
  if (channel === undefined) return false;
  let found = 0;
  for (const value of channel.value) if (!Number.isNaN(value) && ++found >= least) return true;
  return false;
};

const varies = (channel: DriveChannel | undefined): boolean => {
  if (channel === undefined) return false;
  let changes = 0;
  let last = Number.NaN;
  for (const value of channel.value) {
    if (Number.isNaN(value)) continue;
    if (!Number.isNaN(last) && value !== last && value !== 0) changes++;
    last = value;
    if (changes > 20) return true;
  }
  return false;
};

/** A wideband sensor's reading scatters by some tenths of a percent even at rest; what stays within this is stuck [1]. */
const stillWithin = 0.002;
/** Share of the samples that must lie so close together [1]. */
const stillShare = 0.98;

/**
 * True when a channel cannot stand still: of the pairs of one sample of its first half and one of the second, more lie apart than samples
 * that stand still and the few others could make. Spares most logs the sorting.
 */
function moves(value: Float64Array): boolean {
  const half = value.length >> 1;
  let apart = 0;
  for (let i = 0; i < half; i++) {
    const a = value[i]!;
    const b = value[i + half]!;
    if (Math.abs(a - b) > 2.5 * stillWithin * Math.max(Math.abs(a), Math.abs(b))) apart++;
  }
  return apart > (1 - stillShare) * value.length;
}

/** True when nearly all samples of a channel lie within a hair of their median. */
function standsStill({ value }: DriveChannel): boolean {
  if (moves(value)) return false;
  const sorted = value.filter((v) => !Number.isNaN(v)).sort();
  const middle = sorted[sorted.length >> 1]!;
  let still = 0;
  for (const v of sorted) if (Math.abs(v - middle) <= stillWithin * Math.abs(middle)) still++;
  return sorted.length >= 100 && still >= stillShare * sorted.length;
}

/** Largest typical disagreement of logged airflow and table before they count as different [1]. */
const tableAgreement = 0.02;

/**
 * Chooses how a drive tells the mixture and fills in the signal from the logged airflow where only that is there.
 *
 * @param trimsOff the caller states that trims were off, or are not in the log because the ECU has none
 */
export function prepareDrive(curve: TransferCurve, drive: Drive, trimsOff: boolean): Prepared {
  const { channels } = drive;
  const least = 30;
  let prepared = drive;
  if (!holds(channels.signal, least)) {
    if (!holds(channels.airflow, least))
      return {
        reason: "no signal",
        text: "The log holds neither the meter's signal nor the metered airflow, so its rows cannot be laid on the table.",
      };
    prepared = { ...drive, channels: { ...channels, signal: signalOf(curve, channels.airflow) } };
  } else if (holds(channels.airflow, least) && sameTimes(channels.signal, channels.airflow)) {
    const off = typicalDisagreement(curve, channels.signal, channels.airflow);
    if (!(off < tableAgreement))
      return {
        reason: "another table",
        text: `The logged airflow is typically ${(100 * off).toFixed(1)} % from what this table gives for the logged signal: the drive was made with another table, or signal or airflow is in another unit.`,
      };
  }
  const lambda = holds(channels.lambda, least);
  const trims = holds(channels.shortTrim, least) || holds(channels.longTrim, least);
  if (lambda && !trims && !trimsOff)
    return {
      reason: "trims not logged",
      text: "Lambda is logged but the trims are not: with feedback on, lambda would sit at its target whatever the table is. Log the trims, or state that they were off.",
    };
  if (lambda && standsStill(channels.lambda))
    return {
      reason: "lambda stands still",
      text: "The lambda channel shows one value through the whole drive, whatever the engine does: the sensor, its heater or its interface is stuck, or the column is not lambda.",
    };
  if (lambda) return { drive: prepared, source: "lambda" };
  if (!trims)
    return {
      reason: "no lambda and no trims",
      text: "The log holds neither lambda nor fuel trims (a diesel has no trims): nothing in it tells the mixture.",
    };
  if (!varies(channels.shortTrim) && !varies(channels.longTrim))
    return {
      reason: "no trims in use",
      text: "The trims never move and there is no lambda: the loop was open and nothing in the log tells the mixture.",
    };
  return { drive: prepared, source: "trims" };
}

function signalOf(curve: TransferCurve, airflow: DriveChannel): DriveChannel {
  const inverse = inverseEvaluator({ ...asCurve(curve), outside: "extend" });
  return {
    time: airflow.time,
    value: Float64Array.from(airflow.value, (v) => (v >= 0 ? inverse(v) : Number.NaN)),
  };
}

const sameTimes = (a: DriveChannel, b: DriveChannel): boolean =>
  a.time === b.time || a.value.length === b.value.length;

function typicalDisagreement(curve: TransferCurve, signal: DriveChannel, airflow: DriveChannel): number {
  const evaluate = curveEvaluator({ ...asCurve(curve), outside: "hold" });
  const every = Math.max(1, Math.floor(signal.value.length / 1000));
  const off = new Float64Array(Math.ceil(signal.value.length / every));
  let count = 0;
  for (let i = 0; i < signal.value.length; i += every) {
    const flow = evaluate(Math.max(signal.value[i]!, 0));
    const ratio = Math.abs(Math.log(airflow.value[i]! / flow));
    if (ratio >= 0) off[count++] = ratio;
  }
  return off.subarray(0, count).sort()[count >> 1] ?? 0;
}
