import { logReading } from "../log-reading-part.js";
import {
  head,
  list,
  number,
  type Out,
  record,
  signalKind,
  tableVerdict,
  text,
  unit,
  whole,
  word,
} from "../result-parts.js";

const end = () => word("hold", "extend", "neither", "not driven");

/** Schema of a verified table's result. */
export const verifyResult = () =>
  record({
    ...head("verify 1"),
    signal: signalKind(),
    units: record({ flow: unit("mass flow"), signal: unit("frequency", "voltage") }),
    verdict: tableVerdict(),
    cautions: list(text()),
    cells: list(
      record({
        signal: number(),
        meant: number(),
        /** meant and difference [kg/s]; nothing is known of a cell that was not driven */
        executed: number(),
        u: number(),
        /** differences up to this would not have been seen [kg/s] */
        limit: number(),
        state: word("agrees", "differs", "not driven"),
        /** what was typed, as far as it can be told; empty where the cell agrees */
        how: text(),
      }),
      2,
    ),
    ends: record({ stated: word("hold", "extend"), below: end(), above: end() }),
    lag: number(),
    used: whole(),
    pairs: whole(),
    log: logReading(),
  });

/** A table held against a log: plain JSON-ready data in SI. */
export type VerifyResult = Out<typeof verifyResult>;
