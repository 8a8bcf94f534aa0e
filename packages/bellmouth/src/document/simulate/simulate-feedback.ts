import type * as z from "zod";
import { omitUndefined } from "../../fault/index.js";
import type { Time } from "../../units/index.js";
import { block, choiceField, numberField, quantityField } from "../fields.js";

/** How the simulated car's lambda feedback differs from its usual one, SI; nothing when left out. */
export interface SimulatedFeedback {
  readonly atRest?: "reset" | "hold" | "wind up";
  readonly narrowBand?: {
    /** lambda [1] */
    readonly switchPoint: number;
    readonly hysteresis: number;
    readonly leanDelay: Time;
  };
}

/** The block `feedback`. */
export const feedbackBlock = () =>
  block(
    {
      "at-rest": choiceField(
        ["reset", "hold", "wind-up"],
        "What the short trim does while feedback does not act: back to zero, held, or still integrating in fuel cuts.",
      ).optional(),
      "narrow-band": block({
        "switch-point": numberField("Lambda at which the sensor switches.", 0.9, 1.1),
        hysteresis: numberField("Half of its hysteresis, in lambda.", 0, 0.1),
        "lean-delay": quantityField("time", {
          about: "Extra time before a change to lean is taken.",
          example: "50 ms",
          range: { from: 0, to: 1 },
        }),
      })
        .meta({ description: "The feedback acts on a sensor that tells rich from lean only." })
        .optional(),
    },
    "How the lambda feedback works; the car's usual way when left out.",
  );

type RawFeedback = z.output<ReturnType<typeof feedbackBlock>>;

export function buildFeedback(raw: RawFeedback | undefined): SimulatedFeedback {
  if (raw === undefined) return {};
  const [atRest, narrowBand] = [raw["at-rest"], raw["narrow-band"]];
  return omitUndefined({
    atRest: atRest === "wind-up" ? ("wind up" as const) : atRest,
    narrowBand: narrowBand && {
      switchPoint: narrowBand["switch-point"],
      hysteresis: narrowBand.hysteresis,
      leanDelay: narrowBand["lean-delay"].value,
    },
  });
}
