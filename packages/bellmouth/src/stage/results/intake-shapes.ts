import * as z from "zod";
import {
  estimate,
  head,
  keyFigures,
  list,
  measuredVerdict,
  number,
  orNull,
  text,
  uncertain,
  unit,
} from "./shape-parts.js";

const element = () =>
  z.looseObject({
    name: text(),
    role: z.literal("meter housing").optional(),
    area: orNull(uncertain()),
    drop: estimate(),
    share: estimate(),
    k: orNull(estimate()),
    velocity: orNull(number()),
    mach: orNull(number()),
    flags: list(text()),
  });

const change = () =>
  z.looseObject({
    change: z.discriminatedUnion("change", [
      z.looseObject({ change: z.literal("remove"), element: text() }),
      z.looseObject({ change: z.literal("bore"), element: text(), area: uncertain() }),
    ]),
    before: estimate(),
    after: estimate(),
    rise: estimate(),
    atSpeed: z.looseObject({ pressure: number(), flow: number() }),
  });

export const restrictionShape = () =>
  z
    .looseObject({
      ...head("restriction 1"),
      units: z.looseObject({ pressure: unit("pressure difference"), flow: unit("mass flow") }),
      verdict: measuredVerdict(),
      keyFigures: keyFigures(),
      budget: z.looseObject({
        peak: number(),
        elements: list(element(), 1),
        total: estimate(),
        residual: list(orNull(number())),
        points: number(),
        flowFrom: number(),
        flowTo: number(),
        confidence: number(),
      }),
      changes: list(change()),
      byFlow: z.looseObject({ flow: list(number(), 1), drops: list(list(number())) }),
    })
    .refine(
      ({ budget, byFlow }) =>
        byFlow.drops.length === budget.elements.length &&
        byFlow.drops.every((drops) => drops.length === byFlow.flow.length),
      { error: "a drop of each element at each flow", path: ["byFlow", "drops"] },
    );

const compared = () =>
  z
    .looseObject({
      quantity: z.enum(["pressure", "temperature"]),
      runs: list(
        z.looseObject({
          id: text(),
          side: z.enum(["before", "after"]),
          at: number(),
          values: list(orNull(number())),
        }),
        2,
      ),
      pooled: z.looseObject({ effect: number(), estimate: orNull(estimate()), before: number() }),
      pooledPoints: list(number()),
      points: list(
        z.looseObject({
          speed: number(),
          before: orNull(number()),
          effect: orNull(number()),
          estimate: orNull(estimate()),
          runs: z.looseObject({ before: number(), after: number() }),
        }),
        1,
      ),
      drift: orNull(estimate()),
      runSd: orNull(number()),
      claim: z.enum(["rise", "fall", "none"]),
      detectable: orNull(number()),
      power: number(),
      needed: orNull(
        z.looseObject({
          wanted: number(),
          perSide: orNull(number()),
          order: list(z.enum(["before", "after"])),
        }),
      ),
      flags: list(text()),
    })
    .refine(({ runs, points }) => runs.every((run) => run.values.length === points.length), {
      error: "a value, or null, of each run at each point",
      path: ["runs"],
    });

export const trialShape = () =>
  z.looseObject({
    ...head("trial 1"),
    units: z.looseObject({ pressure: unit("pressure difference"), power: unit("power") }),
    verdict: measuredVerdict(),
    keyFigures: keyFigures(),
    pressure: orNull(compared()),
    temperature: orNull(compared()),
    gain: orNull(
      z.looseObject({
        gain: estimate(),
        byDensity: estimate(),
        parts: z.looseObject({ pressure: number(), temperature: number() }),
      }),
    ),
  });

const rate = () => z.looseObject({ value: orNull(number()), from: orNull(number()), to: orNull(number()) });

export const decisionShape = () =>
  z.looseObject({
    ...head("decision 1"),
    units: z.looseObject({ power: unit("power"), flow: unit("mass flow") }),
    table: z.looseObject({
      currency: text(),
      rows: list(
        z.looseObject({
          options: list(text(), 1),
          parts: number(),
          work: number(),
          total: number(),
          saved: number(),
          gain: orNull(estimate()),
          perKilowatt: orNull(rate()),
          perHorsepower: orNull(rate()),
          room: orNull(z.looseObject({ flowLeft: number(), probabilityOver: number() })),
          flags: list(z.enum(["gains added", "gain unknown", "gain not told from zero", "no room left"])),
        }),
        1,
      ),
      cautions: list(text()),
    }),
  });
