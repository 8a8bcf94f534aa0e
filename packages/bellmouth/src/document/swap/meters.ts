import type { SignalKind } from "../../sensor/index.js";
import type { QuantityReading, SpanReading } from "../../text/index.js";
import type { BuildContext } from "../document.js";
import { readAirflowTable } from "../sensor-tables.js";
import { buildHousing, type RawHousing } from "./housing.js";
import type { Meter, NewMeter, SignalSpan } from "./swap-document.js";

type SignalReading = QuantityReading<"frequency" | "voltage">;
type SignalSpanReading = SpanReading<"frequency" | "voltage">;

interface RawMeter {
  readonly signal: SignalKind;
  readonly table: string;
  readonly accuracy: QuantityReading<"ratio">;
  readonly range?: SignalSpanReading | undefined;
}

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

function buildTable(raw: RawMeter, path: string, context: BuildContext) {
  return context.attempt(`${path}.table`, () =>
    readAirflowTable(context.open(raw.table), raw.signal, { file: context.nameOf(raw.table) }),
  );
}

export function buildMeter(
  raw: RawMeter & { readonly housing: RawHousing },
  path: string,
  context: BuildContext,
): Meter | undefined {
  const table = buildTable(raw, path, context);
  const range = signalSpanOf(raw.range, raw.signal, `${path}.range`, context);
  const housing = buildHousing(raw.housing, `${path}.housing`, context);
  if (table === undefined || housing === undefined) return undefined;
  return { table, accuracy: raw.accuracy.value, ...(range === undefined ? {} : { range }), housing };
}

export function buildNewMeter(
  raw: {
    readonly source: "same-element" | "donor";
    readonly housing: RawHousing;
    readonly donor?: (RawMeter & { readonly housing: "new" | RawHousing }) | undefined;
  },
  context: BuildContext,
): NewMeter | undefined {
  const housing = buildHousing(raw.housing, "new.housing", context);
  if (raw.source === "same-element") {
    if (raw.donor !== undefined) {
      context.fault("new.donor", {
        code: "E_SCHEMA",
        message: "'donor' does not go with 'source: same-element'",
        accepted: "'source: donor', or no donor",
      });
    }
    return housing === undefined ? undefined : { source: "same-element", housing };
  }
  if (raw.donor === undefined) {
    context.fault("new.donor", {
      code: "E_SCHEMA",
      message: "the key 'donor' is missing beside 'source: donor'",
      accepted: "a block with signal, table, accuracy, housing",
    });
    return undefined;
  }
  const asInstalled = raw.donor.housing === "new";
  const table = buildTable(raw.donor, "new.donor", context);
  const range = signalSpanOf(raw.donor.range, raw.donor.signal, "new.donor.range", context);
  const own =
    raw.donor.housing === "new" ? housing : buildHousing(raw.donor.housing, "new.donor.housing", context);
  if (housing === undefined || table === undefined || own === undefined) return undefined;
  const donor: Meter = {
    table,
    accuracy: raw.donor.accuracy.value,
    ...(range === undefined ? {} : { range }),
    housing: own,
  };
  return { source: "donor", housing, donor, asInstalled };
}
