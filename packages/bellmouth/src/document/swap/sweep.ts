import type * as z from "zod";
import { omitUndefined } from "../../fault/index.js";
import type { SignalKind, Uncertain } from "../../sensor/index.js";
import { type Length, type MassFlow, metres, type PressureDifference } from "../../units/index.js";
import type { BuildContext } from "../document.js";
import { block, exactlyOne, quantityField, uncertainField } from "../fields.js";
import { flowField } from "./demand.js";
import { uncertain } from "./housing.js";
import { signalField, signalOf } from "./signal.js";

/** Most bores of a sweep. */
const MOST_BORES = 500;

/** What the present meter costs in pressure. */
export type MeterLoss = {
  /** bores of the ducts that stay on both sides */
  readonly ducts?: { readonly before: Length; readonly after: Length };
} & (
  | { readonly kind: "coefficient" /** on the dynamic head in its open area [1] */; readonly loss: Uncertain }
  | {
      readonly kind: "drop";
      readonly drop: Uncertain<PressureDifference>;
      readonly flow: Uncertain<MassFlow>;
    }
);

export interface BoreSweep {
  readonly bores: readonly Length[];
  readonly limits: {
    /** most of the usable signal to be used [1] */
    readonly share?: number;
    readonly drop?: PressureDifference;
    /** least signal at idle [Hz] or [V] */
    readonly idleSignal?: number;
  };
}

const ductField = (about: string) =>
  quantityField("length", { about, example: "80 mm", range: { over: 0, to: 0.5 } });

/** The `restriction` block: what the present meter costs in pressure. */
export const lossBlock = () =>
  block(
    {
      loss: uncertainField("ratio", {
        about: "Loss coefficient on the dynamic head in the open area.",
        example: "0.8 ± 0.2",
        range: { from: 0, to: 50 },
      }).optional(),
      drop: uncertainField("pressure difference", {
        about: "Measured pressure drop over the present meter.",
        example: "8 inH2O ± 0.5 inH2O",
        range: { over: 0, to: 50_000 },
      }).optional(),
      at: flowField("Flow at that drop.", "200 g/s ± 3 %").optional(),
      ducts: block({
        before: ductField("Bore of the duct ahead of the housing."),
        after: ductField("Bore of the duct behind it."),
      })
        .meta({
          description:
            "Ducts that stay as they are: a housing of another bore meets them in a sudden step on each side. Left out where tapers join them; a measured drop is then the housing's alone.",
        })
        .optional(),
    },
    "What the present meter costs in pressure.",
  ).check(exactlyOne([["loss"], ["drop", "at"]]));

/** The `sweep` block. */
export const sweepBlock = () =>
  block(
    {
      from: quantityField("length", {
        about: "Smallest bore.",
        example: "64 mm",
        range: { over: 0, to: 0.5 },
      }),
      to: quantityField("length", {
        about: "Largest bore.",
        example: "100 mm",
        range: { over: 0, to: 0.5 },
      }),
      step: quantityField("length", { about: "Step.", example: "2 mm", range: { over: 0, to: 0.5 } }),
      limits: block({
        share: quantityField("ratio", {
          about: "Most of the usable signal that a scenario may use.",
          example: "90 %",
          range: { over: 0, to: 1 },
          percent: true,
        }).optional(),
        drop: quantityField("pressure difference", {
          about: "Largest drop over the meter.",
          example: "1 kPa",
          range: { over: 0 },
        }).optional(),
        "idle-signal": signalField("Least signal at idle.", "1.8 kHz").optional(),
      }).optional(),
    },
    "Which bore? The same element in housings of a range of bores.",
  );

export function lossOf(raw: z.output<ReturnType<typeof lossBlock>>): MeterLoss | undefined {
  const ducts =
    raw.ducts === undefined
      ? {}
      : { ducts: { before: raw.ducts.before.value, after: raw.ducts.after.value } };
  if (raw.loss !== undefined) return { kind: "coefficient", loss: uncertain(raw.loss), ...ducts };
  if (raw.drop === undefined || raw.at === undefined) return undefined;
  return { kind: "drop", drop: uncertain(raw.drop), flow: uncertain(raw.at), ...ducts };
}

export function buildSweep(
  raw: z.output<ReturnType<typeof sweepBlock>>,
  signal: SignalKind,
  context: BuildContext,
): BoreSweep | undefined {
  const { from, to, step, limits } = raw;
  const idle = limits?.["idle-signal"];
  const idleSignal =
    idle === undefined ? undefined : signalOf(idle, signal, "sweep.limits.idle-signal", context);
  if (!(from.value < to.value)) {
    context.fault("sweep.to", {
      code: "E_ORDER",
      message: "'to' must lie above 'from'",
      found: `'${to.text}' after '${from.text}'`,
      accepted: `more than ${from.text}`,
    });
    return undefined;
  }
  // A whole number of steps may come out a last bit short.
  const count = Math.floor((to.value - from.value) / step.value + 1e-9) + 1;
  if (!(count <= MOST_BORES)) {
    context.fault("sweep.step", {
      code: "E_TOO_LARGE",
      message: "a sweep of too many bores",
      found: `${count}`,
      accepted: `at most ${MOST_BORES}`,
    });
    return undefined;
  }
  const bores: readonly Length[] = Array.from({ length: count }, (_, i) =>
    metres(from.value + i * step.value),
  );
  return {
    bores,
    limits: omitUndefined({ share: limits?.share?.value, drop: limits?.drop?.value, idleSignal }),
  };
}
