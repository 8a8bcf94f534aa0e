import type { RefineDocument } from "../../document/index.js";
import { channelKey } from "../../document/index.js";
import {
  addDrive,
  emptySums,
  joinPieces,
  type LoggedDrive,
  type LogMapping,
  type LogSource,
  type RefineOptions,
  type RefineSums,
  readLog,
  readLogPieces,
} from "../../drive/index.js";
import { BellmouthError, faultDetails } from "../../fault/index.js";
import { chooseMapping } from "./log-mapping.js";
import type { ReadLogSummary } from "./result.js";

/** Bytes of a log's beginning that its layout is judged by. */
export const SAMPLE_BYTES = 1 << 18;

/** What one log tells: sums that add, and how it was read. Plain data: a worker can send it. */
export interface LogOutcome {
  readonly sums: RefineSums;
  readonly log: ReadLogSummary;
}

/** Options of the refinement that a document stands for. */
export function refineOptions(document: RefineDocument): RefineOptions {
  return {
    trimsOff: document.trimsOff,
    untimed: document.untimed,
    largestChange: document.largestChange,
    ...(document.prior === null ? {} : { prior: document.prior }),
  };
}

/** Rows per piece of a log that is too long to be held: eight minutes at 100 rows a second. */
const PIECE_ROWS = 50_000;

/**
 * Reads one log and sums up what it tells about the document's table.
 *
 * @param meter  `new`: the table to be refined; `old`: the old meter's table
 * @param name   the log's name, for messages
 * @param sample its first `SAMPLE_BYTES` bytes, or all of it
 * @param source all of its bytes
 * @param long   read it in pieces, so that memory does not grow with it
 * @throws faults of the log's reading: `E_COLUMN`, `E_UNIT`, `E_SYNTAX`, `E_ENCODING`, `E_TOO_LARGE`
 */
export function sumUpLog(
  document: RefineDocument,
  meter: "new" | "present",
  name: string,
  sample: Uint8Array | string,
  source: LogSource,
  long = false,
): LogOutcome {
  const { inferred, mapping, readAs } = chooseMapping(document, sample, name);
  const { layout } = inferred;
  const { prior, ...plain } = refineOptions(document);
  const options = meter === "new" && prior !== undefined ? { ...plain, prior } : plain;
  const curve = meter === "new" ? document.curve : (document.oldMeter?.curve ?? document.curve);
  let sums = emptySums(curve);
  let rows = 0;
  let findings: LoggedDrive["findings"] = [];
  placedInLog(mapping, name, () => {
    const pieces = long
      ? readLogPieces(source, layout, mapping, PIECE_ROWS, { name })
      : [readLog(source, layout, mapping, { name })];
    for (const piece of pieces) {
      sums = addDrive(sums, piece, curve, { ...options, piece: true });
      rows += piece.rows;
      // The findings of a piece are those of the log so far.
      findings = piece.findings;
    }
  });
  return { sums: joinPieces(sums, name), log: { name, rows, readAs, findings } };
}

/** Faults of the mapping say which log, and name the column by its key in the document. */
function placedInLog<T>(mapping: LogMapping, name: string, read: () => T): T {
  try {
    return read();
  } catch (error) {
    if (!(error instanceof BellmouthError)) throw error;
    const at = /^mapping\.(?:time|channels\[(\d+)\])/u.exec(error.at?.path ?? "");
    if (at === null) throw error;
    const channel = at[1] === undefined ? "time" : mapping.channels[Number(at[1])]?.channel;
    throw new BellmouthError({
      ...faultDetails(error),
      at: { file: name, path: `columns.${channelKey(channel ?? "time")}` },
    });
  }
}
