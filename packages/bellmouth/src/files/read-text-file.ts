import { statSync } from "node:fs";
import { dirname, resolve } from "node:path";
import { besideFile, type OpenText } from "../document/index.js";
import { BellmouthError } from "../fault/index.js";
import { decodeTable, decodeText, LARGEST_TEXT } from "../text/index.js";
import { fileFault } from "./file-fault.js";
import { withBlocks } from "./read-blocks.js";
import { readPipe } from "./read-pipe.js";

/**
 * Text of a file: UTF-8, or UTF-16 with its byte order mark.
 *
 * @param path  where it is
 * @param shown how messages call it; `path` when left out
 * @throws `E_FILE` when it cannot be read, `E_ENCODING`, `E_TOO_LARGE`
 */
export function readTextFile(path: string, shown = path): string {
  return decodeText(readSmallFile(path, shown), shown);
}

function readSmallFile(path: string, shown: string): Uint8Array {
  let bytes: Uint8Array;
  try {
    const found = statSync(path);
    // A device such as /dev/zero never ends.
    if (!found.isFile() && !found.isFIFO() && !found.isDirectory()) {
      throw new BellmouthError({
        code: "E_FILE",
        message: "cannot read the file: it is a device",
        accepted: "a file",
        at: { file: shown },
      });
    }
    // Looked at before reading: a wrong name must not fill the memory.
    if (found.size > LARGEST_TEXT) throw tooLarge(found.size, shown);
    bytes = found.isFIFO() ? readPipe(path, shown, LARGEST_TEXT) : readWhole(path, shown);
  } catch (error) {
    if (error instanceof BellmouthError) throw error;
    throw fileFault(error, "read the file", shown);
  }
  return bytes;
}

/** Counted while reading: some files of the system say 0 and never end. */
function readWhole(path: string, shown: string): Uint8Array {
  return withBlocks(path, shown, ({ blocks }) => {
    const parts: Uint8Array[] = [];
    let length = 0;
    for (const block of blocks()) {
      parts.push(block.slice());
      length += block.length;
      if (length > LARGEST_TEXT) throw tooLarge(length, shown);
    }
    return Buffer.concat(parts);
  });
}

const tooLarge = (bytes: number, shown: string): BellmouthError =>
  new BellmouthError({
    code: "E_TOO_LARGE",
    message: "a file larger than this reads at once",
    found: `${(bytes / 1048576).toFixed(1)} MB`,
    accepted: `at most ${LARGEST_TEXT / 1048576} MB`,
    at: { file: shown },
  });

/**
 * Opens the files that a document names, relative to the document's folder.
 *
 * @param document where the document is
 * @param shown    how messages call it; the files it names are called after it
 */
export const textOpener =
  (document: string, shown = document): OpenText =>
  (name) => {
    const told = besideFile(shown, name);
    return decodeTable(readSmallFile(resolve(dirname(document), name), told), told);
  };
