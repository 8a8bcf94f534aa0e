import * as z from "zod";
import { head, keyFigures, list, number, orNull, pair, tableVerdict, text, unit } from "./shape-parts.js";

const cell = () =>
  z.looseObject({
    signal: number(),
    before: number(),
    after: number(),
    low: number(),
    high: number(),
    u: number(),
    priorU: number(),
    seconds: number(),
    seen: orNull(number()),
    evidence: number(),
    held: orNull(text()),
  });

const drive = () =>
  z.looseObject({
    name: text(),
    refused: orNull(z.looseObject({ reason: text(), text: text() })),
    seconds: number(),
    gates: z.looseObject({ rows: number(), used: number(), left: z.record(text(), number()) }),
    delay: orNull(z.looseObject({ value: number(), u: number() })),
    effective: number(),
  });

const advice = () =>
  z.looseObject({
    flow: pair(),
    speed: orNull(pair()),
    pressureRatio: orNull(pair()),
    uNow: number(),
    uAfter: number(),
    seconds: number(),
  });

export const refineShape = () =>
  z.looseObject({
    ...head("refine 1"),
    signal: z.enum(["frequency", "voltage"]),
    units: z.looseObject({ flow: unit("mass flow"), signal: unit("frequency", "voltage") }),
    verdict: tableVerdict(),
    keyFigures: keyFigures(),
    refinement: z.looseObject({
      curve: z.looseObject({ cells: list(z.looseObject({ flags: list(text()) }), 2) }),
      cells: list(cell(), 2).refine((cells) => cells.some((one) => one.before > 0), {
        error: "a flow above zero in some cell",
      }),
      next: list(advice()),
      drives: list(drive(), 1),
    }),
  });
