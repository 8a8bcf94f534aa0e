import type * as z from "zod";
import type { Housing, Upstream } from "../../sensor/index.js";
import {
  block,
  choiceField,
  oneOf,
  quantityField,
  textLineField,
  uncertainField,
  yesNoField,
} from "../fields.js";

/** What makes the flow even ahead of the run. */
const upstreamField = () =>
  oneOf(
    [
      choiceField(
        ["straightener", "screen", "bellmouth", "filter in line", "filter box", "sharp inlet", "unknown"],
        "What makes the flow even ahead of the run.",
      ),
      block({
        part: choiceField(["elbow", "two elbows"], "Two: close together and not in one plane."),
        "duct-before": uncertainField("length", {
          about: "Straight bore between the last thing that makes the flow even and the elbow.",
          example: "200 mm ± 30 mm",
          range: { from: 0, to: 20 },
        }),
      }),
    ],
    "'straightener', 'screen', 'bellmouth', 'filter in line', 'filter box', 'sharp inlet', 'unknown', or for elbows { part: elbow, duct-before: 200 mm ± 30 mm }",
  );

/** Keys of a `housing` block that say what stands ahead of the element. */
export const aheadKeys = () => ({
  run: oneOf(
    [
      choiceField(["developed"], "Behind a long pipe, as on a bench."),
      uncertainField("length", {
        about:
          "Straight bore ahead of the element, after the last thing that makes the flow even, or after the elbow.",
        example: "45 mm ± 10 mm",
        range: { over: 0, to: 20 },
      }),
    ],
    "a length with its unit, as in '45 mm ± 10 mm', or 'developed' behind a long pipe",
  ),
  upstream: upstreamField(),
  step: quantityField("length", {
    about: "Joint where the run begins: difference of radius, larger in the meter (+), a lip into it (-).",
    example: "0 mm",
    range: { from: -0.05, to: 0.05 },
  }),
  loss: uncertainField("ratio", {
    about: "Loss coefficient of a screen or straightener; its class's value, told, where left out.",
    example: "2 ± 0.8",
    range: { from: 0, to: 20 },
  }).optional(),
  "same-ahead": yesNoField(
    "The very same parts stand ahead of both housings, turned the same way.",
  ).optional(),
  family: textLineField(
    "Free name of the element's make; the same name in two housings lets their tables be held against each other.",
    80,
  ).optional(),
});

type RawAhead = z.output<z.ZodObject<ReturnType<typeof aheadKeys>>>;

/** What stands ahead, as a housing has it. */
export function ahead(
  raw: RawAhead,
): Pick<Housing, "run" | "upstream" | "step" | "loss" | "sameAhead" | "family"> {
  const { run, upstream, step, loss, family } = raw;
  const sameAhead = raw["same-ahead"];
  return {
    run: run === "developed" ? run : { value: run.value, u: run.u },
    upstream: typeof upstream === "string" ? upstream : elbows(upstream),
    step: step.value,
    ...(loss === undefined ? {} : { loss: { value: loss.value, u: loss.u } }),
    ...(sameAhead === undefined ? {} : { sameAhead }),
    ...(family === undefined ? {} : { family }),
  };
}

const elbows = (raw: Exclude<RawAhead["upstream"], string>): Upstream => {
  const { value, u } = raw["duct-before"];
  return { part: raw.part, ductBefore: { value, u } };
};
