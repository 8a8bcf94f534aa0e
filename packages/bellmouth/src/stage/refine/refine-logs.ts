import {
  type LogReading,
  type OpenedLog,
  openLog,
  type RefineDocument,
  readingOf,
} from "../../document/index.js";
import {
  addDrive,
  emptySums,
  joinPieces,
  type LogChannel,
  type LoggedDrive,
  type LogSource,
  mergeSums,
  type RefineOptions,
  type RefineSums,
  readDrives,
  readLogPieces,
} from "../../drive/index.js";
import { BellmouthError, faultDetails, isFault } from "../../fault/index.js";

/** Bytes of a log's beginning that its layout is judged by. */
export const SAMPLE_BYTES = 1 << 18;

/** What one log tells: sums that add, and how it was read. Plain data: a worker can send it. */
export interface LogOutcome {
  readonly sums: RefineSums;
  readonly log: LogReading;
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

/** Channels that a refinement reads: a question about one of them must be answered first. */
const NEEDED: readonly LogChannel[] = [
  "signal",
  "airflow",
  "engineSpeed",
  "lambda",
  "lambdaTarget",
  "shortTrim",
  "longTrim",
  "coolant",
  "intakeAir",
  "manifoldPressure",
  "barometer",
  "throttle",
];

/**
 * Reads one log and sums up what it tells about the document's table, drive by drive.
 *
 * @param meter  `new`: the table to be refined; `old`: the old meter's table
 * @param name   the log's name, for messages
 * @param sample its first `SAMPLE_BYTES` bytes, or all of it
 * @param source all of its bytes
 * @param long   read it in pieces, so that memory does not grow with it
 * @throws `E_COLUMN` with its questions where the log leaves something open; faults of the log's reading: `E_UNIT`, `E_SYNTAX`, `E_ENCODING`, `E_TOO_LARGE`
 */
export function sumUpLog(
  document: RefineDocument,
  meter: "new" | "present",
  name: string,
  sample: Uint8Array | string,
  source: LogSource,
  long = false,
): LogOutcome {
  const given = document.untimed ? { ...document.columns, untimed: true } : document.columns;
  const opened = openLog(sample, given, name, NEEDED, {
    whole: sample.length < SAMPLE_BYTES,
    trims: !document.trimsOff,
  });
  const { mapping } = opened;
  const { layout } = opened.read;
  const { prior, ...plain } = refineOptions(document);
  const options = {
    ...plain,
    untimed: plain.untimed === true || "untimed" in mapping.time,
    ...(meter === "new" && prior !== undefined ? { prior } : {}),
  };
  const curve = meter === "new" ? document.curve : (document.oldMeter?.curve ?? document.curve);
  requireSignalKind(opened, curve.signal, name);
  const drives = new Map<string, RefineSums>();
  let rows = 0;
  const findings = new Map<string, LoggedDrive["findings"]>();
  placedInLog(name, () => {
    const pieces = long
      ? readLogPieces(source, layout, mapping, PIECE_ROWS, { name })
      : readDrives(source, layout, mapping, { name });
    for (const piece of pieces) {
      const drive = piece.name ?? name;
      if (piece.rows === 0 && (drives.size > 0 || mapping.split !== undefined)) continue;
      drives.set(
        drive,
        addDrive(drives.get(drive) ?? emptySums(curve), piece, curve, { ...options, piece: true }),
      );
      rows += piece.rows;
      // The findings of a piece are those of its drive so far.
      findings.set(drive, piece.findings);
    }
  });
  const sums = [...drives].map(([drive, of]) => joinPieces(of, drive)).reduce(mergeSums, emptySums(curve));
  return { sums, log: readingOf(opened, name, { rows, findings: distinct([...findings.values()].flat()) }) };
}

/** Findings of several drives of one file: what was counted in the file is the same for each. */
const distinct = (findings: LoggedDrive["findings"]): LoggedDrive["findings"] =>
  findings.filter((one, i) => findings.findIndex(({ message }) => message === one.message) === i);

/** A signal of another kind than the table's would be read against its breakpoints all the same. */
function requireSignalKind({ read }: OpenedLog, kind: string, name: string): void {
  const signal = read.channels.find(({ channel }) => channel === "signal");
  const is =
    signal === undefined || signal.unit === "counts" || signal.unit === "SI"
      ? undefined
      : ["V", "mV"].includes(signal.unit)
        ? "voltage"
        : "frequency";
  if (is === undefined || is === kind) return;
  throw new BellmouthError({
    code: "E_SIGNAL_KIND",
    message: `the log's signal is a ${is} and the table is over ${kind}`,
    found: `"${read.layout.columns[signal?.columns[0]?.column ?? 0]?.name}" in ${signal?.unit}`,
    accepted: `a signal in ${kind === "frequency" ? "Hz, kHz, us or ms" : "V or mV"}, or the metered airflow`,
    at: { file: name },
  });
}

/** Faults of the log's reading say which log. */
function placedInLog<T>(name: string, read: () => T): T {
  try {
    return read();
  } catch (error) {
    if (!isFault(error)) throw error;
    throw new BellmouthError({
      ...faultDetails(error),
      at: { file: name, ...(error.at?.line === undefined ? {} : { line: error.at.line }) },
    });
  }
}
