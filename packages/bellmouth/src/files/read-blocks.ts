import { closeSync, fstatSync, openSync, readSync, statSync } from "node:fs";
import { BellmouthError } from "../fault/index.js";
import { fileFault } from "./file-fault.js";

/** The bytes of an open file. */
export interface BlockSource {
  /** Length of the file [bytes]; 0 where the system does not tell. */
  readonly size: number;
  /** The file's first bytes, fewer where it is shorter. */
  readonly beginning: (bytes: number) => Uint8Array;
  /** All bytes, block by block; the block is reused. */
  readonly blocks: () => Generator<Uint8Array>;
}

const BLOCK = 1 << 20;

/**
 * Opens a file, hands it on, and closes it.
 *
 * @param path  where it is
 * @param shown how messages call it
 * @param use   reads it, as often as it likes
 * @throws `E_FILE` when it is no file or cannot be read
 */
export function withBlocks<T>(path: string, shown: string, use: (source: BlockSource) => T): T {
  // Looked at before opening: opening a pipe waits for somebody to write into it.
  const found = orFault(shown, () => statSync(path));
  if (!found.isFile()) {
    throw new BellmouthError({
      code: "E_FILE",
      message: found.isDirectory()
        ? "cannot read the file: this is a folder, not a file"
        : "cannot read the file: it is a device or a pipe, and a log is read twice",
      accepted: "a file",
      at: { file: shown },
    });
  }
  const handle = orFault(shown, () => openSync(path, "r"));
  try {
    return use({
      size: orFault(shown, () => fstatSync(handle).size),
      beginning: (bytes) => {
        const first = new Uint8Array(bytes);
        let length = 0;
        for (let read = -1; read !== 0 && length < bytes; length += read) {
          const at = length;
          read = orFault(shown, () => readSync(handle, first, at, bytes - at, at));
        }
        return first.subarray(0, length);
      },
      blocks: () => blocks(handle, shown),
    });
  } finally {
    closeSync(handle);
  }
}

function* blocks(handle: number, shown: string): Generator<Uint8Array> {
  const block = new Uint8Array(BLOCK);
  for (let at = 0; ; ) {
    const from = at;
    const read = orFault(shown, () => readSync(handle, block, 0, BLOCK, from));
    if (read === 0) return;
    at += read;
    yield block.subarray(0, read);
  }
}

function orFault<T>(shown: string, step: () => T): T {
  try {
    return step();
  } catch (error) {
    throw fileFault(error, "read the file", shown);
  }
}
