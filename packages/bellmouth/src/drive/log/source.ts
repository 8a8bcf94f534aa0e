import type { FileLayout } from "../../columns/index.js";
import { BellmouthError } from "../../fault/index.js";

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

/** Turns blocks of a log into blocks that the scanner can read: a superset of ASCII, lines that end in LF, no byte-order mark, tabs for runs of blanks. */
export function makeTranscoder({
  encoding,
  delimiter,
}: Pick<FileLayout, "encoding" | "delimiter">): (block: Uint8Array) => Uint8Array {
  const decoded = makeDecoder(encoding);
  const lined = makeLineEnds();
  if (delimiter !== " " && delimiter !== "  ") return (block) => lined(decoded(block));
  const tabbed = makeTabs(delimiter.length);
  return (block) => tabbed(lined(decoded(block)));
}

function makeDecoder(encoding: FileLayout["encoding"]): (block: Uint8Array) => Uint8Array {
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

const LF = 10;
const CR = 13;
const BLANK = 32;
const TAB = 9;

/** Lines that end in CR alone, all through the file's first block, end in LF after this. */
function makeLineEnds(): (block: Uint8Array) => Uint8Array {
  let alone: boolean | undefined;
  return (block) => {
    alone ??= block.length === 0 ? undefined : block.includes(CR) && !block.includes(LF);
    return alone === true ? block.map((byte) => (byte === CR ? LF : byte)) : block;
  };
}

/** Runs of at least `least` blanks become one tab; those at the head and the end of a line go. */
function makeTabs(least: number): (block: Uint8Array) => Uint8Array {
  let blanks = 0;
  let head = true;
  return (block) => {
    const out = new Uint8Array(block.length + blanks + 1);
    let n = 0;
    for (const byte of block) {
      if (byte === BLANK || byte === TAB) {
        blanks += byte === TAB ? least : 1;
        continue;
      }
      if (byte !== LF && byte !== CR && blanks > 0 && !head) {
        if (blanks >= least) out[n++] = TAB;
        else for (let i = 0; i < blanks; i++) out[n++] = BLANK;
      }
      blanks = 0;
      head = byte === LF;
      out[n++] = byte;
    }
    return out.subarray(0, n);
  };
}
