import { closeSync, fstatSync, openSync, readSync } from "node:fs";
import { BellmouthError } from "bellmouth";
import type { RefineDocument } from "bellmouth/document";
import { type LogOutcome, SAMPLE_BYTES, sumUpLog } from "bellmouth/stage";

/** One log to read. */
export interface LogTask {
  readonly document: RefineDocument;
  readonly meter: "new" | "present";
  /** As the document gives it, for messages. */
  readonly name: string;
  readonly path: string;
}

const BLOCK = 1 << 20;

function openLog(path: string, name: string): number {
  try {
    return openSync(path, "r");
  } catch (error) {
    const code = (error as { readonly code?: string }).code ?? "";
    throw new BellmouthError({
      code: "E_FILE",
      message:
        code === "ENOENT"
          ? "there is no such log"
          : `the log could not be opened${code === "" ? "" : ` (${code})`}`,
      accepted: "a CSV file that can be read",
      at: { file: name },
    });
  }
}

/** The log's bytes, block by block; the block is reused. */
function* blocks(handle: number): Generator<Uint8Array> {
  const block = new Uint8Array(BLOCK);
  for (let at = 0; ; ) {
    const read = readSync(handle, block, 0, BLOCK, at);
    if (read === 0) return;
    at += read;
    yield block.subarray(0, read);
  }
}

/** A file from here on is read in pieces [bytes]: some half an hour at 100 rows a second. */
const LONG = 32 << 20;

/** Reads a log and sums up what it tells, without holding the file in memory. */
export function sumUpFile({ document, meter, name, path }: LogTask): LogOutcome {
  const handle = openLog(path, name);
  try {
    const sample = new Uint8Array(SAMPLE_BYTES);
    const read = readSync(handle, sample, 0, SAMPLE_BYTES, 0);
    const long = fstatSync(handle).size > LONG;
    return sumUpLog(document, meter, name, sample.subarray(0, read), blocks(handle), long);
  } finally {
    closeSync(handle);
  }
}
