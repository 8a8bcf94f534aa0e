import { closeSync, constants, openSync, readSync } from "node:fs";
import { BellmouthError } from "../fault/index.js";
import { realDisk } from "./disk.js";

/** How long a pipe may be open at nobody's end [ms], and how long somebody at the other end may be silent. */
const NOBODY = 2_000;
const SILENT = 30_000;
const STEP = 10;
const BLOCK = 1 << 16;

/**
 * All bytes of a pipe, such as a shell's `<(...)`. Opened so that it does not wait for ever for somebody to write.
 *
 * @param shown how messages call it
 * @param most  stops beyond so many bytes [bytes]
 * @throws `E_FILE` when nothing comes
 */
export function readPipe(path: string, shown: string, most: number): Uint8Array {
  const handle = openSync(path, constants.O_RDONLY | (constants.O_NONBLOCK ?? 0));
  try {
    const parts: Uint8Array[] = [];
    let length = 0;
    for (let waited = 0; length <= most; ) {
      const block = new Uint8Array(BLOCK);
      const read = readSome(handle, block);
      if (read !== undefined && read > 0) {
        parts.push(block.subarray(0, read));
        length += read;
        waited = 0;
        continue;
      }
      // The end of a pipe that nobody has opened yet looks like the end of one that is over.
      if (read === 0 && length > 0) break;
      const longest = read === 0 ? NOBODY : SILENT;
      if (waited >= longest) throw silent(shown, longest);
      realDisk.wait(STEP);
      waited += STEP;
    }
    return Buffer.concat(parts);
  } finally {
    closeSync(handle);
  }
}

/** Undefined when the other end is open and has written nothing. */
function readSome(handle: number, block: Uint8Array): number | undefined {
  try {
    return readSync(handle, block, 0, block.length, null);
  } catch (error) {
    if ((error as { code?: string }).code === "EAGAIN") return undefined;
    throw error;
  }
}

const silent = (shown: string, longest: number): BellmouthError =>
  new BellmouthError({
    code: "E_FILE",
    message: `cannot read the file: it is a pipe, and nothing came through it for ${longest / 1000} s`,
    accepted: "a file, or a pipe that is being written",
    at: { file: shown },
  });
