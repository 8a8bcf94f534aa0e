import type * as z from "zod";
import type { Outside, StorageFormat } from "../../curve/index.js";
import { omitUndefined } from "../../fault/index.js";
import type { Dimension } from "../../text/index.js";
import { unitScale } from "../../text/index.js";
import type { Resistance, Voltage } from "../../units/index.js";
import type { BuildContext } from "../document.js";
import {
  anyQuantityField,
  anySpanField,
  block,
  choiceField,
  listOf,
  oneOf,
  quantityField,
  spanField,
  textLineField,
  wholeField,
} from "../fields.js";
import { axisFileBlock, axisFromFile, axisFromList, fitField, outsideField } from "./axis.js";
import type { SignalSpan } from "./signal.js";
import { buildStorage } from "./storage.js";

/** What the ECU's temperature table is read with, or gives: volts at the divider, converter counts, or ohms. */
export type ElementSignal = "voltage" | "counts" | "resistance";

export interface EcuTemperature {
  readonly direction: "signal-to-temperature" | "temperature-to-signal";
  readonly signal: ElementSignal;
  /** [V], [counts], [ohm] or [K] by `direction` and `signal` */
  readonly axis: readonly number[];
  readonly pullUp: Resistance;
  readonly supply: Voltage;
  /** Converter of counts: full scale of `bits` at `reference`. */
  readonly converter?: { readonly bits: number; readonly reference: Voltage };
  /** Air temperatures over which the table must be right [K]. */
  readonly band: { readonly coldest: number; readonly hottest: number };
  /** Temperatures that the table gives for a disconnected and a shorted element [K]; the band's ends when left out. */
  readonly faultValues?: { readonly open: number; readonly short: number };
  /** Signals outside this span mean a broken wire or a short circuit to the ECU [same as signal]. */
  readonly valid?: SignalSpan;
  readonly outside: Exclude<Outside, "refuse">;
  /** [K], or the signal's unit, by `direction` */
  readonly storage?: StorageFormat;
  readonly fit: "minimax" | "sample";
  readonly units: { readonly axis: string; readonly value: string };
}

const sideField = (about: string, example: string) =>
  anyQuantityField(["temperature", "voltage", "count", "resistance"], { about, example });

/** The block `ecu.temperature`. */
export const ecuTemperatureBlock = () =>
  block({
    direction: choiceField(
      ["signal-to-temperature", "temperature-to-signal"],
      "What the table is read with, and what it gives.",
    ),
    signal: choiceField(["voltage", "counts", "resistance"], "The signal side of the table."),
    axis: oneOf(
      [
        axisFileBlock(),
        listOf(sideField("A breakpoint.", "20 degC"), "Breakpoints with their units.", 2, 4096),
      ],
      "a block with file, or a list of breakpoints with their units",
    ),
    "pull-up": quantityField("resistance", {
      about: "Resistor between supply and element, in the ECU.",
      example: "2.2 kohm",
      range: { over: 0 },
    }),
    supply: quantityField("voltage", {
      about: "Supply of the divider.",
      example: "5 V",
      range: { over: 0, to: 50 },
    }),
    converter: block({
      bits: wholeField("Bits of the converter.", 4, 24),
      reference: quantityField("voltage", {
        about: "Voltage of the largest count.",
        example: "5 V",
        range: { over: 0, to: 50 },
      }),
    }).optional(),
    band: spanField("temperature", {
      about: "Air temperatures over which the table must be right.",
      example: "-30 degC .. 110 degC",
      range: { from: 200, to: 450 },
    }),
    "fault-values": block({
      open: quantityField("temperature", {
        about: "What the table gives for a disconnected element.",
        example: "-40 degC",
        range: { over: 0, to: 500 },
      }),
      short: quantityField("temperature", {
        about: "What the table gives for a shorted element.",
        example: "140 degC",
        range: { over: 0, to: 500 },
      }),
    }).optional(),
    valid: anySpanField(["voltage", "count", "resistance"], {
      about: "Signals outside this span mean a broken wire or a short circuit.",
      example: "0.1 V .. 4.9 V",
      range: { from: 0 },
    }).optional(),
    outside: outsideField(),
    storage: oneOf(
      [
        choiceField(["none"], "Values are stored as they are."),
        block({
          step: anyQuantityField(["temperature difference", "voltage", "count", "resistance"], {
            about: "Smallest step of a stored value.",
            example: "0.75 K",
            range: { over: 0 },
          }),
          from: sideField("Least stored value.", "-40 degC"),
          to: sideField("Greatest stored value.", "150 degC"),
        }),
      ],
      "'none', or a block with step, from and to",
    ),
    fit: fitField(),
    unit: textLineField("Unit of the written values.", 20),
  });

type Raw = z.output<ReturnType<typeof ecuTemperatureBlock>>;

const DIMENSION: { readonly [S in ElementSignal]: Dimension } = {
  voltage: "voltage",
  counts: "count",
  resistance: "resistance",
};

export function buildEcuTemperature(raw: Raw, context: BuildContext): EcuTemperature | undefined {
  const path = "ecu.temperature";
  const signal = DIMENSION[raw.signal];
  const [over, gives]: readonly [Dimension, Dimension] =
    raw.direction === "signal-to-temperature" ? [signal, "temperature"] : ["temperature", signal];
  const axis =
    "file" in raw.axis
      ? axisFromFile(raw.axis.file, over, `${path}.axis.file`, context)
      : axisFromList(raw.axis, over, `${path}.axis`, context);
  const unit = context.attempt(`${path}.unit`, () => unitScale(raw.unit, gives).unit);
  if (raw.signal === "counts" && raw.converter === undefined) {
    context.fault(`${path}.converter`, {
      code: "E_SCHEMA",
      message: "the key 'converter' is missing: counts need it",
      accepted: "a block with bits, reference",
    });
  }
  if (raw.valid !== undefined && raw.valid.dimension !== signal) {
    context.fault(`${path}.valid`, {
      code: "E_UNIT",
      message: `a span of ${raw.valid.dimension} where the signal is a ${signal}`,
      found: `'${raw.valid.text}'`,
      accepted: `a span of ${signal}`,
    });
  }
  const storage =
    raw.storage === "none" ? undefined : storageOf(raw.storage, gives, `${path}.storage`, context);
  if (axis === undefined || unit === undefined) return undefined;
  return omitUndefined({
    direction: raw.direction,
    signal: raw.signal,
    axis,
    pullUp: raw["pull-up"].value,
    supply: raw.supply.value,
    converter:
      raw.converter === undefined
        ? undefined
        : { bits: raw.converter.bits, reference: raw.converter.reference.value },
    band: { coldest: raw.band.from, hottest: raw.band.to },
    faultValues:
      raw["fault-values"] === undefined
        ? undefined
        : { open: raw["fault-values"].open.value, short: raw["fault-values"].short.value },
    valid: raw.valid === undefined ? undefined : { from: raw.valid.from, to: raw.valid.to },
    outside: raw.outside,
    storage,
    fit: raw.fit,
    units: { axis: axisUnit(over), value: unit },
  });
}

/** Unit that a written axis is shown in. */
const axisUnit = (dimension: Dimension): string =>
  dimension === "temperature"
    ? "degC"
    : dimension === "voltage"
      ? "V"
      : dimension === "resistance"
        ? "ohm"
        : "counts";

function storageOf(
  raw: Exclude<Raw["storage"], "none">,
  gives: Dimension,
  path: string,
  context: BuildContext,
): StorageFormat | undefined {
  const step: Dimension = gives === "temperature" ? "temperature difference" : gives;
  let good = true;
  for (const [key, want] of [
    ["step", step],
    ["from", gives],
    ["to", gives],
  ] as const) {
    if (raw[key].dimension === want) continue;
    good = false;
    context.fault(`${path}.${key}`, {
      code: "E_UNIT",
      message: `a ${raw[key].dimension} where the table gives a ${gives}`,
      found: `'${raw[key].text}'`,
      accepted: `a ${want}`,
    });
  }
  return good ? buildStorage(raw, raw.step.value, path, context) : undefined;
}
