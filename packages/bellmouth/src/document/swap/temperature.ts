import type { StorageFormat } from "../../curve/index.js";
import type { Dimension, QuantityReading, SpanReading } from "../../text/index.js";
import { unitScale } from "../../text/index.js";
import type { BuildContext } from "../document.js";
import { readThermistorTable } from "../sensor-tables.js";
import { axisFromFile, axisFromList } from "./axis.js";
import { buildStorage } from "./ecu-airflow.js";
import type { EcuTemperature, ElementSignal, TemperatureElement } from "./swap-document.js";

type Side = QuantityReading<"temperature" | "voltage" | "count" | "resistance">;
type Step = QuantityReading<"temperature difference" | "voltage" | "count" | "resistance">;

export interface RawEcuTemperature {
  readonly direction: "signal-to-temperature" | "temperature-to-signal";
  readonly signal: ElementSignal;
  readonly axis: { readonly file: string } | readonly Side[];
  readonly "pull-up": QuantityReading<"resistance">;
  readonly supply: QuantityReading<"voltage">;
  readonly converter?: { readonly bits: number; readonly reference: QuantityReading<"voltage"> } | undefined;
  readonly band: SpanReading<"temperature">;
  readonly "fault-values"?:
    | { readonly open: QuantityReading<"temperature">; readonly short: QuantityReading<"temperature"> }
    | undefined;
  readonly valid?: SpanReading<"voltage" | "count" | "resistance"> | undefined;
  readonly outside: "hold" | "extend";
  readonly storage: "none" | { readonly step: Step; readonly from: Side; readonly to: Side };
  readonly fit: "minimax" | "sample";
  readonly unit: string;
}

export interface RawElement {
  readonly points?: string | undefined;
  readonly coefficients?: { readonly a: number; readonly b: number; readonly c: number } | undefined;
  readonly beta?:
    | {
        readonly resistance: QuantityReading<"resistance">;
        readonly at: QuantityReading<"temperature">;
        readonly beta: QuantityReading<"temperature difference">;
      }
    | undefined;
  readonly accuracy: QuantityReading<"temperature difference">;
}

const DIMENSION: { readonly [S in ElementSignal]: Dimension } = {
  voltage: "voltage",
  counts: "count",
  resistance: "resistance",
};

export function buildEcuTemperature(
  raw: RawEcuTemperature,
  context: BuildContext,
): EcuTemperature | undefined {
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
  return {
    direction: raw.direction,
    signal: raw.signal,
    axis,
    pullUp: raw["pull-up"].value,
    supply: raw.supply.value,
    ...(raw.converter === undefined
      ? {}
      : { converter: { bits: raw.converter.bits, reference: raw.converter.reference.value } }),
    band: { coldest: raw.band.from, hottest: raw.band.to },
    ...(raw["fault-values"] === undefined
      ? {}
      : { faultValues: { open: raw["fault-values"].open.value, short: raw["fault-values"].short.value } }),
    ...(raw.valid === undefined ? {} : { valid: { from: raw.valid.from, to: raw.valid.to } }),
    outside: raw.outside,
    ...(storage === undefined ? {} : { storage }),
    fit: raw.fit,
    units: { axis: axisUnit(over), value: unit },
  };
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
  raw: { readonly step: Step; readonly from: Side; readonly to: Side },
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

export function buildElement(
  raw: RawElement,
  path: string,
  context: BuildContext,
): TemperatureElement | undefined {
  const accuracy = raw.accuracy.value;
  if (raw.coefficients !== undefined) return { kind: "coefficients", accuracy, ...raw.coefficients };
  if (raw.beta !== undefined) {
    const { resistance, at, beta } = raw.beta;
    return {
      kind: "beta",
      accuracy,
      resistance: resistance.value,
      temperature: at.value,
      beta: beta.value,
    };
  }
  const { points } = raw;
  if (points === undefined) return undefined;
  const table = context.attempt(`${path}.points`, () =>
    readThermistorTable(context.open(points), { file: context.nameOf(points) }),
  );
  return table === undefined ? undefined : { kind: "points", accuracy, ...table };
}
