import type * as z from "zod";
import { omitUndefined } from "../../fault/index.js";
import type { SignalKind } from "../../sensor/index.js";
import type { Mass, MassFlow } from "../../units/index.js";
import type { BuildContext } from "../document.js";
import { block, listOf, oneOf, quantityField } from "../fields.js";
import { axisFromList } from "./axis.js";
import { signalField, signalOf } from "./signal.js";

/** What the ECU holds besides its tables; nothing is assumed of what is not given. */
export interface EcuLimits {
  /** greatest value of the airflow field [kg/s] */
  readonly airflow?: MassFlow;
  readonly cylinderAir?: {
    /** end of the load axis [kg of air per cylinder and intake stroke] */
    readonly end: Mass;
    /** the whole axis [kg], rising, where it was given */
    readonly breakpoints?: readonly number[];
  };
  /** signals [Hz] or [V] below and above which a fault of the meter is set */
  readonly signalRationality?: { readonly low?: number; readonly high?: number };
}

const airField = (about: string) =>
  quantityField("mass", { about, example: "900 mg", range: { over: 0, to: 0.05 } });

/** The block `ecu.limits`. */
export const ecuLimitsBlock = () =>
  block(
    {
      airflow: quantityField("mass flow", {
        about: "Greatest flow that the ECU's airflow field holds, whatever the table says.",
        example: "512 g/s",
        range: { over: 0, to: 10 },
      }).optional(),
      "cylinder-air": oneOf(
        [
          airField("End of the load axis: air per cylinder and intake stroke."),
          listOf(airField("A breakpoint of the load axis."), "The load axis.", 2, 256),
        ],
        "the end of the load axis as a mass per stroke, as in '900 mg', or the list of its breakpoints",
      ).optional(),
      "signal-rationality": block({
        low: signalField("Signal below which the ECU sets a fault.", "0.4 V").optional(),
        high: signalField("Signal above which the ECU sets a fault.", "4.9 V").optional(),
      })
        .meta({ description: "Thresholds of the ECU's own check of the meter's signal." })
        .optional(),
    },
    "What the ECU holds besides its tables. None is assumed: what is not given is not judged.",
  );

/** @param kind signal kind of the new meter */
export function buildEcuLimits(
  raw: z.output<ReturnType<typeof ecuLimitsBlock>>,
  kind: SignalKind,
  context: BuildContext,
): EcuLimits {
  const air = raw["cylinder-air"];
  const rationality = raw["signal-rationality"];
  return omitUndefined({
    airflow: raw.airflow?.value,
    cylinderAir: air === undefined ? undefined : loadAxis(air, context),
    signalRationality: rationality === undefined ? undefined : thresholds(rationality, kind, context),
  });
}

type RawLimits = z.output<ReturnType<typeof ecuLimitsBlock>>;

function loadAxis(
  raw: NonNullable<RawLimits["cylinder-air"]>,
  context: BuildContext,
): EcuLimits["cylinderAir"] {
  if (!("length" in raw)) return { end: raw.value };
  const breakpoints = axisFromList(raw, "mass", "ecu.limits.cylinder-air", context);
  const end = raw.at(-1);
  return breakpoints === undefined || end === undefined ? undefined : { end: end.value, breakpoints };
}

function thresholds(
  raw: NonNullable<RawLimits["signal-rationality"]>,
  kind: SignalKind,
  context: BuildContext,
): EcuLimits["signalRationality"] {
  const path = "ecu.limits.signal-rationality";
  const of = (key: "low" | "high"): number | undefined => {
    const reading = raw[key];
    return reading === undefined ? undefined : signalOf(reading, kind, `${path}.${key}`, context);
  };
  const [low, high] = [of("low"), of("high")];
  if (raw.low === undefined && raw.high === undefined) {
    context.fault(path, {
      code: "E_SCHEMA",
      message: "neither threshold is given",
      accepted: "'low', 'high' or both",
    });
  }
  if (low !== undefined && high !== undefined && !(low < high)) {
    context.fault(`${path}.high`, {
      code: "E_ORDER",
      message: "'high' must lie above 'low'",
      found: `'${raw.high?.text}' after '${raw.low?.text}'`,
      accepted: `more than ${raw.low?.text}`,
    });
  }
  return omitUndefined({ low, high });
}
