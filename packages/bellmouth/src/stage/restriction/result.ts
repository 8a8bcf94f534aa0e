import * as z from "zod";
import type { RestrictionBudget, TractPrediction } from "../../intake/index.js";
import {
  estimate,
  head,
  keyFigures,
  list,
  measuredVerdict,
  number,
  type Out,
  orNull,
  partOf,
  record,
  text,
  uncertain,
  unit,
} from "../result-parts.js";

const element = () =>
  record({
    name: text(),
    role: z.literal("meter housing").exactOptional(),
    area: orNull(uncertain()),
    drop: estimate(),
    share: estimate(),
    k: orNull(estimate()),
    velocity: orNull(number()),
    mach: orNull(number()),
    flags: list(text()),
  });

const budget = () =>
  partOf<RestrictionBudget>()(
    record({
      peak: number(),
      elements: list(element(), 1),
      total: estimate(),
      residual: list(orNull(number())),
      readings: record({ flow: list(number(), 1), drops: list(list(orNull(number()))) }),
      points: number(),
      flowFrom: number(),
      flowTo: number(),
      confidence: number(),
      flags: list(text()),
    }),
  );

const prediction = () =>
  partOf<TractPrediction>()(
    record({
      change: z.union([
        record({
          change: z.literal("remove"),
          element: text(),
          left: record({ area: uncertain(), k: uncertain() }).exactOptional(),
        }),
        record({ change: z.literal("bore"), element: text(), area: uncertain() }),
      ]),
      before: estimate(),
      after: estimate(),
      rise: estimate(),
      atSpeed: record({ pressure: number(), flow: number() }),
    }),
  );

/** Schema of a restriction budget, which a stored one is read back through. */
export const restrictionResult = () =>
  record({
    ...head("restriction 1"),
    /** Units that people see the result in. */
    units: record({ pressure: unit("pressure difference"), flow: unit("mass flow") }),
    verdict: measuredVerdict(),
    keyFigures: keyFigures(),
    cautions: list(text()),
    budget: budget(),
    changes: list(prediction()),
    /** Drop of each element over flow, for a stacked picture: flows [kg/s], drops [Pa] by element. */
    byFlow: record({ flow: list(number(), 1), drops: list(list(number())) }),
  })
    .refine(
      ({ budget: { elements }, byFlow: { flow, drops } }) =>
        drops.length === elements.length && drops.every((one) => one.length === flow.length),
      { error: "a drop of each element at each flow", path: ["byFlow", "drops"] },
    )
    .refine(
      ({ budget: { elements, readings } }) =>
        readings.drops.length === readings.flow.length &&
        readings.drops.every((one) => one.length === elements.length),
      { error: "a reading, or null, of each element at each flow", path: ["budget", "readings", "drops"] },
    );

/** A restriction budget with what it means: plain JSON-ready data in SI. */
export type RestrictionResult = Out<typeof restrictionResult>;
