import type * as z from "zod";
import type { Outside, StorageFormat } from "../../curve/index.js";
import { omitUndefined } from "../../fault/index.js";
import type { SignalKind } from "../../sensor/index.js";
import { unitScale } from "../../text/index.js";
import type { BuildContext } from "../document.js";
import {
  block,
  choiceField,
  listOf,
  oneOf,
  quantityField,
  textLineField,
  unitField,
  wholeField,
} from "../fields.js";
import { axisFileBlock, axisFromFile, axisFromList, axisFromSteps, fitField, outsideField } from "./axis.js";
import { type SignalSpan, signalField, signalOf } from "./signal.js";
import { buildStorage, rises } from "./storage.js";

/** How finely the ECU measures the signal. */
export type CaptureResolution =
  | { readonly kind: "step" /** [Hz] or [V] */; readonly step: number }
  | { readonly kind: "tick" /** period timer's tick [s] */; readonly tick: number };

export interface Capture extends SignalSpan {
  readonly resolution?: CaptureResolution;
}

/** The breakpoints of a table to be made, SI. */
export type Axis =
  | { readonly kind: "as-present" }
  | { readonly kind: "values"; readonly values: readonly number[] }
  /** as many breakpoints as that, placed where straight lines serve best; ends of the element's own table where left out */
  | { readonly kind: "placed"; readonly count: number; readonly from?: number; readonly to?: number };

export interface EcuAirflow {
  readonly axis: Axis;
  readonly outside: Exclude<Outside, "refuse">;
  readonly capture?: Capture;
  /** Number format of the stored flows [kg/s]; `undefined` when the document says that there is none. */
  readonly storage?: StorageFormat;
  readonly fit: "minimax" | "sample";
  /** Units to write the table in. */
  readonly units: { readonly signal: string; readonly flow: string };
}

const axisSignal = () => signalField("A breakpoint.", "2 kHz");

const stepsBlock = () =>
  block({
    from: axisSignal().optional(),
    to: axisSignal().optional(),
    count: wholeField("Number of breakpoints.", 2, 4096),
    place: choiceField(
      ["even", "best"],
      "even: the same distance between all; best: where straight lines follow the curve with equal error, from the ends of the element's table when from and to are left out.",
    ).optional(),
  });

const captureBlock = () =>
  block({
    from: signalField("Least signal the input measures.", "20 Hz"),
    to: signalField("Greatest signal the input measures.", "12 kHz"),
    bits: wholeField("Bits of the converter over from..to (voltages).", 4, 24).optional(),
    tick: quantityField("time", {
      about: "Tick of the timer that measures the period (frequencies).",
      example: "1 us",
      range: { over: 0, to: 1e-3 },
    }).optional(),
    step: signalField("Step of the measured signal.", "5 mV").optional(),
  });

/** The block `ecu.airflow`. */
export const ecuAirflowBlock = () =>
  block({
    axis: oneOf(
      [
        choiceField(["as-present"], "The signals of the present table."),
        axisFileBlock(),
        stepsBlock(),
        listOf(axisSignal(), "Breakpoints.", 2, 4096),
      ],
      "'as-present', a block with file, a block with from, to and count, a block with count and 'place: best', or a list of signals",
    ),
    outside: outsideField(),
    capture: captureBlock().optional(),
    storage: oneOf(
      [
        choiceField(["none"], "Flows are stored as they are, without rounding or limits."),
        block({
          step: quantityField("mass flow", {
            about: "Smallest step of a stored flow.",
            example: "0.01 g/s",
            range: { over: 0 },
          }),
          from: quantityField("mass flow", { about: "Least stored flow.", example: "0 g/s" }),
          to: quantityField("mass flow", { about: "Greatest stored flow.", example: "655.35 g/s" }),
        }),
      ],
      "'none', or a block with step, from and to",
    ),
    fit: fitField(),
    unit: unitField("mass flow", "Unit of the written flows.", "g/s"),
    "signal-unit": textLineField("Unit of the written signals; Hz or V when left out.", 20).optional(),
  });

type Raw = z.output<ReturnType<typeof ecuAirflowBlock>>;

/**
 * @param present signal kind of the present table
 * @param kind    signal kind of the new meter, which the new table is over
 */
export function buildEcuAirflow(
  raw: Raw,
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
  return omitUndefined({
    axis,
    outside: raw.outside,
    capture,
    storage,
    fit: raw.fit,
    units: { signal: signalUnit, flow: raw.unit },
  });
}

function buildAxis(
  raw: Raw["axis"],
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
  return buildSteps(raw, kind, path, context);
}

/** Breakpoints by their number: evenly between two ends, or placed where they serve. */
function buildSteps(
  raw: z.output<ReturnType<typeof stepsBlock>>,
  kind: SignalKind,
  path: string,
  context: BuildContext,
): Axis | undefined {
  const { from: first, to: last, count } = raw;
  const from = first === undefined ? undefined : signalOf(first, kind, `${path}.from`, context);
  const to = last === undefined ? undefined : signalOf(last, kind, `${path}.to`, context);
  if ((first !== undefined && from === undefined) || (last !== undefined && to === undefined)) {
    return undefined;
  }
  if (first !== undefined && last !== undefined && !rises({ from: first, to: last }, path, context)) {
    return undefined;
  }
  if (raw.place === "best") return omitUndefined({ kind: "placed" as const, count, from, to });
  for (const key of ["from", "to"] as const) {
    if (raw[key] !== undefined) continue;
    context.fault(`${path}.${key}`, {
      code: "E_SCHEMA",
      message: `the key '${key}' is missing`,
      accepted: `'from' and 'to' beside 'count', or 'place: best'`,
    });
  }
  if (from === undefined || to === undefined) return undefined;
  return { kind: "values", values: axisFromSteps(from, to, count) };
}

function buildCapture(
  raw: z.output<ReturnType<typeof captureBlock>>,
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
  return omitUndefined({ from, to, resolution });
}
