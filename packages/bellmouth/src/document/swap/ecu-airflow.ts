import type { StorageFormat } from "../../curve/index.js";
import type { SignalKind } from "../../sensor/index.js";
import type { QuantityReading } from "../../text/index.js";
import { unitScale } from "../../text/index.js";
import type { BuildContext } from "../document.js";
import { axisFromFile, axisFromList, axisFromSteps } from "./axis.js";
import { signalOf } from "./meters.js";
import type { Axis, Capture, CaptureResolution, EcuAirflow } from "./swap-document.js";

type SignalReading = QuantityReading<"frequency" | "voltage">;

interface RawCapture {
  readonly from: SignalReading;
  readonly to: SignalReading;
  readonly bits?: number | undefined;
  readonly tick?: QuantityReading<"time"> | undefined;
  readonly step?: SignalReading | undefined;
}

interface RawStorage<D extends QuantityReading, S extends QuantityReading = D> {
  readonly step: S;
  readonly from: D;
  readonly to: D;
}

export interface RawEcuAirflow {
  readonly axis:
    | "as-present"
    | { readonly file: string }
    | { readonly from: SignalReading; readonly to: SignalReading; readonly count: number }
    | readonly SignalReading[];
  readonly outside: "hold" | "extend";
  readonly capture?: RawCapture | undefined;
  readonly storage: "none" | RawStorage<QuantityReading<"mass flow">>;
  readonly fit: "minimax" | "sample";
  readonly unit: string;
  readonly "signal-unit"?: string | undefined;
}

/**
 * @param present signal kind of the present table
 * @param kind    signal kind of the new meter, which the new table is over
 */
export function buildEcuAirflow(
  raw: RawEcuAirflow,
  present: SignalKind,
  kind: SignalKind,
  context: BuildContext,
): EcuAirflow | undefined {
  const path = "ecu.airflow";
  const axis = buildAxis(raw.axis, present, kind, `${path}.axis`, context);
  const capture =
    raw.capture === undefined ? undefined : buildCapture(raw.capture, kind, `${path}.capture`, context);
  const storage =
    raw.storage === "none"
      ? undefined
      : buildStorage(raw.storage, raw.storage.step.value, `${path}.storage`, context);
  const signalUnit =
    raw["signal-unit"] === undefined
      ? kind === "frequency"
        ? "Hz"
        : "V"
      : context.attempt(`${path}.signal-unit`, () => unitScale(raw["signal-unit"] ?? "", kind).unit);
  if (axis === undefined || signalUnit === undefined) return undefined;
  return {
    axis,
    outside: raw.outside,
    ...(capture === undefined ? {} : { capture }),
    ...(storage === undefined ? {} : { storage }),
    fit: raw.fit,
    units: { signal: signalUnit, flow: raw.unit },
  };
}

function buildAxis(
  raw: RawEcuAirflow["axis"],
  present: SignalKind,
  kind: SignalKind,
  path: string,
  context: BuildContext,
): Axis | undefined {
  if (raw === "as-present") {
    if (present === kind) return { kind: "as-present" };
    context.fault(path, {
      code: "E_SIGNAL_KIND",
      message: `the present table is over ${present} and the new meter puts out ${kind}`,
      found: "'as-present'",
      accepted: `breakpoints in ${kind === "frequency" ? "Hz" : "V"}: a file, a block with from, to and count, or a list`,
    });
    return undefined;
  }
  if ("length" in raw) {
    const values = axisFromList(raw, kind, path, context);
    return values === undefined ? undefined : { kind: "values", values };
  }
  if ("file" in raw) {
    const values = axisFromFile(raw.file, kind, `${path}.file`, context);
    return values === undefined ? undefined : { kind: "values", values };
  }
  const from = signalOf(raw.from, kind, `${path}.from`, context);
  const to = signalOf(raw.to, kind, `${path}.to`, context);
  if (from === undefined || to === undefined || !rises(raw, path, context)) return undefined;
  return { kind: "values", values: axisFromSteps(from, to, raw.count) };
}

function buildCapture(
  raw: RawCapture,
  kind: SignalKind,
  path: string,
  context: BuildContext,
): Capture | undefined {
  const from = signalOf(raw.from, kind, `${path}.from`, context);
  const to = signalOf(raw.to, kind, `${path}.to`, context);
  const step = raw.step === undefined ? undefined : signalOf(raw.step, kind, `${path}.step`, context);
  const given = (["bits", "tick", "step"] as const).filter((key) => raw[key] !== undefined);
  const [first, second] = given;
  const misfit = kind === "frequency" ? "bits" : "tick";
  if (second !== undefined) {
    context.fault(`${path}.${second}`, {
      code: "E_SCHEMA",
      message: `'${second}' does not go with '${first}'`,
      accepted: "one of bits, tick and step",
    });
  }
  if (raw[misfit] !== undefined) {
    context.fault(`${path}.${misfit}`, {
      code: "E_SIGNAL_KIND",
      message: `'${misfit}' belongs to a ${kind === "frequency" ? "voltage" : "frequency"} input`,
      accepted: kind === "frequency" ? "tick or step" : "bits or step",
    });
  }
  if (from === undefined || to === undefined || !rises(raw, path, context)) return undefined;
  let resolution: CaptureResolution | undefined;
  if (step !== undefined) resolution = { kind: "step", step };
  else if (raw.bits !== undefined) resolution = { kind: "step", step: (to - from) / (2 ** raw.bits - 1) };
  else if (raw.tick !== undefined) resolution = { kind: "tick", tick: raw.tick.value };
  return { from, to, ...(resolution === undefined ? {} : { resolution }) };
}

/** Storage whose codes count up from its least value. */
export function buildStorage(
  raw: RawStorage<QuantityReading, QuantityReading>,
  step: number,
  path: string,
  context: BuildContext,
): StorageFormat | undefined {
  if (!rises(raw, path, context)) return undefined;
  const { value: from } = raw.from;
  const { value: to } = raw.to;
  if (!(step <= to - from)) {
    context.fault(`${path}.step`, {
      code: "E_DOMAIN",
      message: "a step larger than the whole range",
      found: `'${raw.step.text}'`,
      accepted: `at most the way from ${raw.from.text} to ${raw.to.text}`,
    });
    return undefined;
  }
  return { step, offset: from, from, to };
}

function rises(
  raw: { readonly from: QuantityReading; readonly to: QuantityReading },
  path: string,
  context: BuildContext,
): boolean {
  if (raw.from.value < raw.to.value) return true;
  context.fault(`${path}.to`, {
    code: "E_ORDER",
    message: "'to' must lie above 'from'",
    found: `'${raw.to.text}' after '${raw.from.text}'`,
    accepted: `more than ${raw.from.text}`,
  });
  return false;
}
