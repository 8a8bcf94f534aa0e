import { encodingOf, requireText } from "../columns/index.js";
import { BellmouthError, faultDetails, isFault } from "../fault/index.js";

/** Largest text the readers take [bytes]; a table of 100,000 rows has about 2 MB. Drives are read by streaming instead. */
export const LARGEST_TEXT = 64 * 1024 * 1024;

/**
 * Text of a file's bytes: UTF-8, or UTF-16 when a byte order mark says so. Byte order marks are taken off. Line ends
 * stay as they are; the readers take LF and CRLF.
 *
 * @param bytes whole content
 * @param file  name for messages
 * @throws `E_ENCODING` on UTF-16 without a mark, on NUL bytes and on bytes that are no UTF-8 (a degree sign saved as
 *   Latin-1, for instance), with line and column; `E_TOO_LARGE` beyond 64 MB
 */
export function decodeText(bytes: Uint8Array, file?: string): string {
  const name = file === undefined ? {} : { file };
  if (bytes.length > LARGEST_TEXT) {
    throw new BellmouthError({
      code: "E_TOO_LARGE",
      message: "more text than this reads at once",
      found: `${(bytes.length / 1048576).toFixed(1)} MB`,
      accepted: `at most ${LARGEST_TEXT / 1048576} MB`,
      at: name,
    });
  }
  const [a, b] = bytes;
  if (a === 0xff && b === 0xfe) return utf16(bytes.subarray(2), "utf-16le", name);
  if (a === 0xfe && b === 0xff) return utf16(bytes.subarray(2), "utf-16be", name);
  const body = a === 0xef && b === 0xbb && bytes[2] === 0xbf ? bytes.subarray(3) : bytes;
  const nul = body.indexOf(0);
  if (nul >= 0) {
    throw new BellmouthError({
      code: "E_ENCODING",
      message: "this is not text, or it is UTF-16 without a byte order mark",
      found: "a zero byte",
      accepted: "UTF-8; save the file as UTF-8 and try again",
      at: { ...name, ...placeOfByte(body, nul) },
    });
  }
  try {
    return new TextDecoder("utf-8", { fatal: true, ignoreBOM: true }).decode(body);
  } catch {
    const bad = firstBadByte(body);
    throw new BellmouthError({
      code: "E_ENCODING",
      message: "this is not UTF-8, as when a degree sign was saved in an older encoding",
      found: `byte 0x${(body[bad] ?? 0).toString(16)}`,
      accepted: "UTF-8; save the file as UTF-8 and try again",
      at: { ...name, ...placeOfByte(body, bad) },
    });
  }
}

function utf16(body: Uint8Array, label: "utf-16le" | "utf-16be", name: { readonly file?: string }): string {
  try {
    return new TextDecoder(label, { fatal: true, ignoreBOM: true }).decode(body);
  } catch {
    throw new BellmouthError({
      code: "E_ENCODING",
      message: "the file says it is UTF-16 and is not",
      accepted: "UTF-8; save the file as UTF-8 and try again",
      at: name,
    });
  }
}

/** Index of the first byte that no UTF-8 text could have there; halving, because the decoder does not say. */
function firstBadByte(bytes: Uint8Array): number {
  let good = 0;
  let bad = bytes.length;
  while (bad - good > 1) {
    const middle = (good + bad) >> 1;
    try {
      // A character cut in two by the halving is not an error: `stream` waits for its rest.
      new TextDecoder("utf-8", { fatal: true }).decode(bytes.subarray(0, middle), { stream: true });
      good = middle;
    } catch {
      bad = middle;
    }
  }
  return Math.max(0, bad - 1);
}

function placeOfByte(bytes: Uint8Array, index: number): { readonly line: number; readonly column: number } {
  let line = 1;
  let start = 0;
  for (let i = 0; i < index; i++) {
    if (bytes[i] === 0x0a) {
      line++;
      start = i + 1;
    }
  }
  return { line, column: index - start + 1 };
}

/**
 * Text of a table's or log's bytes, in the encodings that such files have: UTF-8, UTF-16 with or without its mark, windows-1252.
 *
 * @throws `E_ENCODING` for what is no text, saying what it is; `E_TOO_LARGE` beyond 64 MB
 */
export function decodeTable(bytes: Uint8Array, file?: string): string {
  try {
    requireText(bytes);
    const encoding = encodingOf(bytes);
    if (encoding !== "utf-8" && bytes.length <= LARGEST_TEXT) return new TextDecoder(encoding).decode(bytes);
  } catch (error) {
    if (!isFault(error)) throw error;
    throw new BellmouthError({ ...faultDetails(error), at: file === undefined ? {} : { file } });
  }
  return decodeText(bytes, file);
}
