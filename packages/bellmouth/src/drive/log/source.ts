import { BellmouthError } from "../../fault/index.js";
import type { LogEncoding } from "./layout.js";

/** Bytes of a log: whole, in blocks, or as text. A block may be reused by its sender once the next is asked for. */
export type LogSource = string | Uint8Array | Iterable<Uint8Array>;
/** Bytes that arrive: a file's read stream, a web stream's iterator. */
export type LogStream = AsyncIterable<Uint8Array>;

/** A whole log is handed on in blocks too, so that whoever reads in pieces gets pieces. */
const BLOCK_BYTES = 1 << 18;

export function* blocksOf(source: LogSource): Generator<Uint8Array> {
  const whole = typeof source === "string" ? new TextEncoder().encode(source) : source;
  if (whole instanceof Uint8Array) {
    for (let at = 0; at < whole.length; at += BLOCK_BYTES) yield whole.subarray(at, at + BLOCK_BYTES);
  } else yield* whole;
}

/** Turns blocks of a log into blocks that the scanner can read: UTF-8 or any other superset of ASCII, no byte-order mark. */
export function makeTranscoder(encoding: LogEncoding): (block: Uint8Array) => Uint8Array {
  if (encoding === "utf-16le" || encoding === "utf-16be") {
    // Drops the byte-order mark itself, and keeps half characters for the next block.
    const decoder = new TextDecoder(encoding);
    const encoder = new TextEncoder();
    return (block) => encoder.encode(decoder.decode(block, { stream: true }));
  }
  let first = true;
  return (block) => {
    if (!first) return block;
    first = false;
    if (block.subarray(0, 4096).includes(0)) {
      throw new BellmouthError({
        code: "E_ENCODING",
        message: "the log holds zero bytes",
        found: `${encoding} in the layout`,
        accepted: "utf-16le or utf-16be in the layout if that is what the file is; else a text file",
      });
    }
    return block[0] === 0xef && block[1] === 0xbb && block[2] === 0xbf ? block.subarray(3) : block;
  };
}

/** Encoding of a sample of bytes: by its byte-order mark, else by its zero bytes, else by whether UTF-8 reads it. */
export function encodingOf(sample: Uint8Array): LogEncoding {
  if (sample[0] === 0xff && sample[1] === 0xfe) return "utf-16le";
  if (sample[0] === 0xfe && sample[1] === 0xff) return "utf-16be";
  const head = sample.subarray(0, 4096);
  const zeros = head.reduce((n, byte) => n + (byte === 0 ? 1 : 0), 0);
  if (zeros > 0) {
    // Latin text in UTF-16 has a zero in nearly every second byte.
    const odd = head.reduce((n, byte, i) => n + (byte === 0 && i % 2 === 1 ? 1 : 0), 0);
    if (zeros > head.length / 3 && (odd > 0.9 * zeros || odd < 0.1 * zeros)) {
      return odd > 0.9 * zeros ? "utf-16le" : "utf-16be";
    }
    throw new BellmouthError({
      code: "E_ENCODING",
      message: "the log is not text",
      found: `${zeros} zero bytes in the first ${head.length}`,
      accepted: "comma-separated text in UTF-8, windows-1252 or UTF-16",
    });
  }
  try {
    // A sample may end inside a character: `stream` leaves that open.
    new TextDecoder("utf-8", { fatal: true }).decode(sample, { stream: true });
    return "utf-8";
  } catch {
    return "windows-1252";
  }
}

/** Text of a sample, without its byte-order mark. */
export const decodeSample = (sample: Uint8Array, encoding: LogEncoding): string =>
  new TextDecoder(encoding).decode(sample, { stream: true });
