import { evaluateCurve, invertCurve } from "../../curve/index.js";
import { BellmouthError, requireNumber } from "../../fault/index.js";
import { asCurve, combinedUncertainty, type TransferCurve } from "../transfer-curve.js";

/** A span of signals [Hz] or [V]. */
export interface SignalSpan {
  readonly from: number;
  readonly to: number;
}

/** What bounds a meter's signal besides its table. What is not known is left out, and does not limit. */
export interface MeterLimits {
  /** signals the sensor itself can put out [Hz] or [V] */
  readonly sensor?: SignalSpan;
  /** signals the ECU's input can take [Hz] or [V] */
  readonly capture?: SignalSpan;
  /** flows the ECU's number format can hold [kg/s] */
  readonly storage?: { readonly from: number; readonly to: number };
}

export type Limit = "sensor" | "capture" | "table" | "storage";

/** The range of signals that sensor, input, table and storage all take, and the flows at its ends. */
export interface UsableSignal {
  /** [Hz] or [V] */
  readonly from: number;
  readonly to: number;
  /** [kg/s] at either end */
  readonly flowFrom: number;
  readonly flowTo: number;
  readonly limitedBelowBy: Limit;
  readonly limitedBy: Limit;
  /** relative standard uncertainty of the flow at `to` [1] */
  readonly u: number;
  /** Every limit's own top end as signal [Hz] or [V], the tightest first; storage only where it lies inside the table. */
  readonly tops: readonly { readonly limit: Limit; readonly signal: number }[];
}

/** Index of the first cell whose signal is at least `signal`; the number of cells when there is none. */
export function firstAtLeast(cells: TransferCurve["cells"], signal: number): number {
  let low = 0;
  let high = cells.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((cells[middle]?.signal ?? Number.POSITIVE_INFINITY) < signal) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** Combined relative standard uncertainty [1] of a curve at a signal, by straight lines between cells, the ends held. */
export function uncertaintyAt(curve: TransferCurve, signal: number): number {
  const { cells } = curve;
  const k = firstAtLeast(cells, signal);
  const right = cells[k] ?? cells[k - 1];
  const left = cells[k - 1] ?? right;
  if (left === undefined || right === undefined) return Number.NaN;
  const [a, b] = [combinedUncertainty(left.budget), combinedUncertainty(right.budget)];
  return left === right ? a : a + ((b - a) * (signal - left.signal)) / (right.signal - left.signal);
}

/** Flow [kg/s] at a signal by the curve's lines, the end lines carried on whatever the ECU does outside. */
export const flowAt = (curve: TransferCurve, signal: number): number =>
  evaluateCurve(asCurve({ ...curve, outside: "extend" }), signal);

/** Signal [Hz] or [V] at a flow by the curve's lines, the end lines carried on. */
export const signalAt = (curve: TransferCurve, flow: number): number =>
  invertCurve(asCurve({ ...curve, outside: "extend" }), flow);

const checkSpan = (span: SignalSpan | undefined, path: string, unit: string): void => {
  if (span === undefined) return;
  requireNumber(span.from, `${path}.from`, unit, { from: 0 });
  requireNumber(span.to, `${path}.to`, unit, { over: span.from });
};

/**
 * The usable signal of a meter: the tightest of what the sensor puts out, what the input takes, where the table ends and
 * what the storage holds, at both ends. The table's last breakpoint counts as an end even where the ECU would carry
 * its line on, because nothing is calibrated there.
 *
 * @param curve  as the ECU executes it
 * @param limits signals [Hz] or [V], storage flows [kg/s]
 * @throws `E_DOMAIN` on a span that is none, or when the limits leave no signal at all
 * @example
 * const cell = (signal: number, flow: number) => ({ signal, flow, origin: "measured", budget: { element: 0.02 }, flags: [] });
 * const cells = [cell(1, 0.005), cell(3, 0.06), cell(5, 0.25)];
 * const curve = makeTransferCurve({ signal: "voltage", outside: "hold", cells });
 * const usable = usableSignal(curve, { sensor: { from: 0.2, to: 4.8 }, capture: { from: 0, to: 5 } });
 * usable.limitedBy // => "sensor"
 * usable.flowTo // ≈ 0.231
 */
export function usableSignal(curve: TransferCurve, limits: MeterLimits): UsableSignal {
  const unit = curve.signal === "frequency" ? "Hz" : "V";
  checkSpan(limits.sensor, "limits.sensor", unit);
  checkSpan(limits.capture, "limits.capture", unit);
  checkSpan(limits.storage, "limits.storage", "kg/s");
  const first = curve.cells[0];
  const last = curve.cells.at(-1);
  if (first === undefined || last === undefined) return empty("no cells");
  const spans: { limit: Limit; span: SignalSpan }[] = [
    { limit: "table", span: { from: first.signal, to: last.signal } },
  ];
  if (limits.sensor !== undefined) spans.push({ limit: "sensor", span: limits.sensor });
  if (limits.capture !== undefined) spans.push({ limit: "capture", span: limits.capture });
  if (limits.storage !== undefined) {
    const { from, to } = limits.storage;
    // A number format that reaches past the table does not limit it.
    spans.push({
      limit: "storage",
      span: {
        from: from > first.flow ? signalAt(curve, from) : Number.NEGATIVE_INFINITY,
        to: to < last.flow ? signalAt(curve, to) : Number.POSITIVE_INFINITY,
      },
    });
  }
  const tops = spans
    .map(({ limit, span }) => ({ limit, signal: span.to }))
    .filter(({ signal }) => Number.isFinite(signal))
    .sort((a, b) => a.signal - b.signal);
  const bottoms = spans
    .map(({ limit, span }) => ({ limit, signal: span.from }))
    .sort((a, b) => b.signal - a.signal);
  const top = tops[0];
  const bottom = bottoms[0];
  if (top === undefined || bottom === undefined || !(top.signal > bottom.signal)) {
    return empty(`${bottom?.limit} from ${bottom?.signal} ${unit}, ${top?.limit} to ${top?.signal} ${unit}`);
  }
  return {
    from: bottom.signal,
    to: top.signal,
    flowFrom: flowAt(curve, bottom.signal),
    flowTo: flowAt(curve, top.signal),
    limitedBelowBy: bottom.limit,
    limitedBy: top.limit,
    u: uncertaintyAt(curve, top.signal),
    tops,
  };
}

function empty(found: string): never {
  throw new BellmouthError({
    code: "E_DOMAIN",
    message: "the limits leave no signal to use",
    found,
    accepted: "sensor, input, table and storage that overlap",
    at: { path: "limits" },
  });
}
