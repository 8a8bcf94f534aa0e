import type { RefineDocument } from "bellmouth/document";
import { withBlocks } from "bellmouth/files";
import { type LogOutcome, SAMPLE_BYTES, sumUpLog } from "bellmouth/stage";

/** One log to read. */
export interface LogTask {
  readonly document: RefineDocument;
  readonly meter: "new" | "present";
  /** As the document gives it, for messages. */
  readonly name: string;
  readonly path: string;
}

/** A file from here on is read in pieces [bytes]: some half an hour at 100 rows a second. */
const LONG = 32 << 20;

/** Reads a log and sums up what it tells, without holding the file in memory. */
export const sumUpFile = ({ document, meter, name, path }: LogTask): LogOutcome =>
  withBlocks(path, name, ({ size, beginning, blocks }) =>
    sumUpLog(document, meter, name, beginning(SAMPLE_BYTES), blocks(), size > LONG),
  );
