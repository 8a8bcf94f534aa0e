import type { DriveSummary, RefineResult } from "../../drive/index.js";
import { logReading } from "../log-reading-part.js";
import {
  head,
  keyFigures,
  list,
  number,
  type Out,
  orNull,
  pair,
  partOf,
  record,
  signalKind,
  table,
  tableVerdict,
  text,
  uncertain,
  unit,
  yes,
} from "../result-parts.js";

const cell = () =>
  record({
    signal: number(),
    before: number(),
    after: number(),
    mean: number(),
    shape: record({ low: number(), high: number() }),
    low: number(),
    high: number(),
    u: number(),
    uShape: number(),
    priorU: number(),
    executed: record({ worst: number(), rms: number() }),
    seconds: number(),
    seen: orNull(number()),
    evidence: number(),
    held: orNull(text()),
  });

const drive = () =>
  partOf<DriveSummary>()(
    record({
      name: text(),
      refused: orNull(record({ reason: text(), text: text() })),
      seconds: number(),
      gates: record({ rows: number(), used: number(), left: table(number()) }),
      delay: orNull(record({ value: number(), u: number() })),
      effective: number(),
    }),
  );

const advice = () =>
  record({
    flow: pair(),
    speed: orNull(pair()),
    pressureRatio: orNull(pair()),
    uNow: number(),
    uAfter: number(),
    seconds: number(),
  });

const refinement = () =>
  partOf<RefineResult>()(
    record({
      curve: record({ cells: list(record({ flags: list(text()) }), 2) }),
      cells: list(cell(), 2).refine((cells) => cells.some((one) => one.before > 0), {
        error: "a flow above zero in some cell",
      }),
      common: uncertain(),
      spread: record({ drives: number(), field: number() }),
      causes: list(record({ cause: text(), size: number(), u: number(), logOdds: number(), named: yes() })),
      region: orNull(
        record({ speed: number(), pressureRatio: number(), pressure: number(), size: number() }),
      ),
      next: list(advice()),
      drives: list(drive(), 1),
    }),
  );

/** Schema of a refinement, which a stored one is read back through. */
export const refineReport = () =>
  record({
    ...head("refine 1"),
    signal: signalKind(),
    units: record({ flow: unit("mass flow"), signal: unit("frequency", "voltage") }),
    verdict: tableVerdict(),
    keyFigures: keyFigures(),
    cautions: list(text()),
    refinement: refinement(),
    /** Fuel asked for over fuel delivered, told by the old meter's drives, ln [1]: above zero when injectors give too little; null without them. */
    fuelScale: orNull(uncertain()),
    logs: list(logReading()),
    oldMeter: orNull(record({ logs: list(logReading()), drives: list(drive()) })),
  });

/**
 * Result of refining a table from drives: plain JSON-ready data in SI (flow kg/s, signal Hz or V, engine speed rev/s,
 * pressure ratio over outside 1, ratios 1).
 */
export type RefineReport = Out<typeof refineReport>;
