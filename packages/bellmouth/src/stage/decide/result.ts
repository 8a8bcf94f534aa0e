import type { DecisionTable } from "../../intake/index.js";
import {
  estimate,
  head,
  list,
  number,
  type Out,
  orNull,
  partOf,
  record,
  text,
  unit,
  word,
} from "../result-parts.js";

const rate = () => record({ value: orNull(number()), from: orNull(number()), to: orNull(number()) });

const row = () =>
  record({
    options: list(text(), 1),
    parts: number(),
    work: number(),
    total: number(),
    saved: number(),
    gain: orNull(estimate()),
    perKilowatt: orNull(rate()),
    perHorsepower: orNull(rate()),
    headroom: orNull(record({ flowLeft: number(), probabilityOver: number() })),
    withTheOthers: list(
      record({ option: text(), cost: number(), saved: number(), perKilowatt: orNull(rate()) }),
    ),
    flags: list(
      word(
        "gains added",
        "gain unknown",
        "loss shown",
        "gain not distinguishable from zero",
        "no headroom left",
      ),
    ),
  });

/** Schema of a decision, which a stored one is read back through. */
export const decisionResult = () =>
  record({
    ...head("decision 1"),
    units: record({ power: unit("power"), flow: unit("mass flow") }),
    table: partOf<DecisionTable>()(
      record({ currency: text(), rows: list(row(), 1), cautions: list(text()) }),
    ),
  });

/** A decision table with its title: plain JSON-ready data, powers [W], flows [kg/s]. */
export type DecisionResult = Out<typeof decisionResult>;
