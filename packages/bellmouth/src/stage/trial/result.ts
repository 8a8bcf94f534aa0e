import type { PowerGain, TrialResult } from "../../intake/index.js";
import { logReading } from "../log-reading-part.js";
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
  unit,
  word,
} from "../result-parts.js";

const side = () => word("before", "after");

const compared = () =>
  partOf<TrialResult>()(
    record({
      quantity: word("pressure", "temperature"),
      runs: list(record({ id: text(), side: side(), at: number(), values: list(orNull(number())) }), 2),
      pooled: record({ effect: number(), estimate: orNull(estimate()), before: number() }),
      pooledPoints: list(number()),
      points: list(
        record({
          speed: number(),
          before: orNull(number()),
          effect: orNull(number()),
          estimate: orNull(estimate()),
          runs: record({ before: number(), after: number() }),
        }),
        1,
      ),
      drift: orNull(estimate()),
      runSd: orNull(number()),
      claim: word("rise", "fall", "none", "cannot tell"),
      detectable: orNull(number()),
      power: number(),
      needed: orNull(
        record({
          wanted: number(),
          perSide: orNull(number()),
          order: list(side()),
          power: orNull(number()),
        }),
      ),
      step: orNull(number()),
      unsettled: list(text()),
      flags: list(text()),
    }).refine(({ runs, points }) => runs.every((run) => run.values.length === points.length), {
      error: "a value, or null, of each run at each point",
      path: ["runs"],
    }),
  );

const gain = () =>
  partOf<PowerGain>()(
    record({
      gain: estimate(),
      byDensity: estimate(),
      parts: record({ pressure: number(), temperature: number() }),
      unjudged: list(word("rise", "temperatureRise")),
    }),
  );

/** Schema of a trial, which a stored one is read back through. */
export const trialResult = () =>
  record({
    ...head("trial 1"),
    /** Units that people see the result in. */
    units: record({ pressure: unit("pressure difference"), power: unit("power") }),
    verdict: measuredVerdict(),
    keyFigures: keyFigures(),
    cautions: list(text()),
    /** null when the runs have no pressures */
    pressure: orNull(compared()),
    /** intake air over outside air; null when the runs have no temperatures */
    temperature: orNull(compared()),
    /** null without a 'worth' block, or where nothing judges the effect */
    logs: list(logReading()),
    gain: orNull(gain()),
  });

/** A trial with what it means: plain JSON-ready data in SI. */
export type TrialOutcome = Out<typeof trialResult>;
