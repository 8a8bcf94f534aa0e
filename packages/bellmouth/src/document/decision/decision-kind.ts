import type * as z from "zod";
import { omitUndefined } from "../../fault/index.js";
import type { Estimate, HeadroomLeft, TogetherOption, UpgradeOption } from "../../intake/index.js";
import type { QuantityReading, UncertainReading } from "../../text/index.js";
import { type BuildContext, type DocumentKind, defineDocument } from "../document.js";
import {
  block,
  listOf,
  numberField,
  quantityField,
  textLineField,
  uncertainField,
  unitField,
} from "../fields.js";
import { headerField } from "../header-field.js";
import type { DecisionDocument } from "./decision-document.js";

function decisionSchema() {
  const cost = (about: string) => numberField(about, 0, 1e9);
  const gain = () =>
    uncertainField("power", {
      about:
        "Brake power gained, with one standard uncertainty; left out when nobody has measured or computed it.",
      example: "3.1 kW ± 0.9 kW",
      range: { from: -1e6, to: 1e6 },
    }).optional();
  const headroom = () =>
    block(
      {
        left: quantityField("mass flow", {
          about: "Flow left above the demand, from the plan; below zero when the demand exceeds the table.",
          example: "32 g/s",
          range: { from: -5, to: 5 },
        }),
        "chance-over": quantityField("ratio", {
          about: "Probability that the demand exceeds the usable signal, from the plan.",
          example: "1 %",
          range: { from: 0, to: 1 },
          percent: true,
        }),
      },
      "Headroom that remains after the change.",
    ).optional();
  const name = () => textLineField("Name of the change.", 80);
  return block({
    bellmouth: headerField("decision", 1),
    title: textLineField("Names the decision in results."),
    currency: textLineField("As it is to be printed, for example EUR.", 10),
    units: block({
      power: unitField("power", "Unit that power is shown in; kW when left out.", "hp").optional(),
      flow: unitField("mass flow", "Unit that flows are shown in; g/s when left out.", "lb/min").optional(),
    }).optional(),
    options: listOf(
      block({
        name: name(),
        parts: cost("Cost of the parts."),
        work: listOf(
          block({
            name: textLineField("Name of the work; options that share a name share the work.", 80),
            cost: cost("Cost of the work."),
          }),
          "Tuning and other work; an empty list for none.",
          0,
          20,
        ),
        gain: gain(),
        headroom: headroom(),
      }),
      "Changes to weigh.",
      1,
      20,
    ),
    together: listOf(
      block({
        options: listOf(name(), "Names of the changes done together.", 2, 20),
        gain: gain(),
        headroom: headroom(),
      }),
      "Combinations to show; all changes together when left out.",
      1,
      40,
    ).optional(),
  });
}

type RawDecision = z.output<ReturnType<typeof decisionSchema>>;

/** `bellmouth: decision 1`, the document of a comparison of costs and gains. */
export const decisionDocument: DocumentKind<DecisionDocument> = defineDocument({
  name: "decision",
  version: 1,
  about: "Changes that could be made: what they cost, bring and leave headroom for, alone and together.",
  schema: decisionSchema,
  build: buildDecision,
});

function buildDecision(raw: RawDecision, context: BuildContext): DecisionDocument | undefined {
  const names = raw.options.map((option) => option.name);
  let good = true;
  const plain = names.map((name) => name.trim().toLowerCase());
  plain.forEach((name, i) => {
    if (plain.indexOf(name) === i) return;
    good = false;
    context.fault(`options[${i}].name`, {
      code: "E_SCHEMA",
      message: "this name stands twice",
      found: `'${names[i]}'`,
    });
  });
  const unsaid = (path: string, gain: UncertainReading<"power"> | undefined): void => {
    if (gain === undefined || gain.u > 0 || /±|\+\/?-/u.test(gain.text)) return;
    good = false;
    context.fault(path, {
      code: "E_DOMAIN",
      message: "a gain without its uncertainty would stand in the table as exact",
      found: `'${gain.text}'`,
      accepted: `'${gain.text} ± …', with one standard uncertainty; '± 0' if it is known exactly`,
    });
  };
  raw.options.forEach((option, i) => {
    unsaid(`options[${i}].gain`, option.gain);
  });
  (raw.together ?? []).forEach((one, i) => {
    unsaid(`together[${i}].gain`, one.gain);
  });
  const costs = new Map<string, { readonly cost: number; readonly name: string }>();
  raw.options.forEach((option, i) => {
    option.work.forEach((work, j) => {
      const key = work.name.trim().toLowerCase();
      const other = costs.get(key);
      costs.set(key, work);
      if (other === undefined || other.cost === work.cost) return;
      good = false;
      context.fault(`options[${i}].work[${j}].cost`, {
        code: "E_DOMAIN",
        message: "work of one name is paid once, so it has one cost",
        found: `'${other.name}' at ${other.cost} and '${work.name}' at ${work.cost}`,
        accepted: "one cost in all options, or names of their own for work that is not shared",
      });
    });
  });
  (raw.together ?? []).forEach(({ options }, i) => {
    options.forEach((name, j) => {
      if (names.includes(name) && options.indexOf(name) === j) return;
      good = false;
      context.fault(`together[${i}].options[${j}]`, {
        code: "E_SCHEMA",
        message: names.includes(name) ? "this option stands twice" : "there is no option of this name",
        found: `'${name}'`,
        accepted: names.join(", "),
      });
    });
  });
  if (!good) return undefined;
  return {
    kind: "decision",
    title: raw.title,
    currency: raw.currency,
    options: raw.options.map(
      (option): UpgradeOption => ({
        name: option.name,
        parts: option.parts,
        work: option.work,
        gain: option.gain === undefined ? null : estimateOf(option.gain),
        headroom: option.headroom === undefined ? null : headroomOf(option.headroom),
      }),
    ),
    together: raw.together?.map(
      (one): TogetherOption =>
        omitUndefined({
          options: one.options,
          gain: one.gain && estimateOf(one.gain),
          headroom: one.headroom && headroomOf(one.headroom),
        }),
    ),
    units: { power: raw.units?.power ?? "kW", flow: raw.units?.flow ?? "g/s" },
  };
}

/** A stated gain as an estimate of known spread. */
function estimateOf(reading: UncertainReading<"power">): Estimate {
  const half = 1.959963984540054 * reading.u;
  return {
    value: reading.value,
    u: reading.u,
    from: reading.value - half,
    to: reading.value + half,
    degreesOfFreedom: null,
    confidence: 0.95,
  };
}

const headroomOf = (raw: {
  readonly left: QuantityReading<"mass flow">;
  readonly "chance-over": QuantityReading<"ratio">;
}): HeadroomLeft => ({ flowLeft: raw.left.value, probabilityOver: raw["chance-over"].value });
