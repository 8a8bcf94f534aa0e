import type { SignalKind } from "../../sensor/index.js";
import type { QuantityReading, SpanReading } from "../../text/index.js";
import type { BuildContext } from "../document.js";
import { anyQuantityField } from "../fields.js";

export type SignalReading = QuantityReading<"frequency" | "voltage">;
type SignalSpanReading = SpanReading<"frequency" | "voltage">;

/** A span of signals [Hz] or [V]. */
export interface SignalSpan {
  readonly from: number;
  readonly to: number;
}

/** A signal: a frequency or a voltage. */
export const signalField = (about: string, example: string) =>
  anyQuantityField(["frequency", "voltage"], { about, example, range: { from: 0 } });

/** A signal in SI, or a collected fault when it is of the other kind. */
export function signalOf(
  reading: SignalReading,
  kind: SignalKind,
  path: string,
  context: BuildContext,
): number | undefined {
  if (reading.dimension === kind) return reading.value;
  wrongKind(reading.text, kind, path, context);
  return undefined;
}

/** A span of signals in SI, or a collected fault. */
export function signalSpanOf(
  reading: SignalSpanReading | undefined,
  kind: SignalKind,
  path: string,
  context: BuildContext,
): SignalSpan | undefined {
  if (reading === undefined) return undefined;
  if (reading.dimension !== kind) wrongKind(reading.text, kind, path, context);
  else if (reading.from < reading.to) return { from: reading.from, to: reading.to };
  else {
    context.fault(path, {
      code: "E_ORDER",
      message: "a span of signals needs two ends",
      found: `'${reading.text}'`,
      accepted: "two different ends, as in '0.2 V .. 4.8 V'",
    });
  }
  return undefined;
}

function wrongKind(text: string, kind: SignalKind, path: string, context: BuildContext): void {
  context.fault(path, {
    code: "E_SIGNAL_KIND",
    message: `a ${kind === "frequency" ? "voltage" : "frequency"} for a sensor that puts out a ${kind}`,
    found: `'${text}'`,
    accepted: kind === "frequency" ? "Hz, kHz" : "V, mV",
  });
}
