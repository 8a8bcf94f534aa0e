import { BellmouthError } from "../fault/index.js";
import type { FileEncoding } from "./layout.js";

const starts = (bytes: Uint8Array, ...head: readonly number[]): boolean =>
  head.every((byte, i) => bytes[i] === byte);
const ascii = (bytes: Uint8Array, length: number): string =>
  String.fromCharCode(...bytes.subarray(0, length));

const WORKBOOK = "the sheet saved as CSV ('Save as', comma-separated values), one file for each sheet";
const CSV = "text with a row for each reading and a line that names the columns";

/** What a file of bytes is when it is no text of columns, and the way out; undefined where nothing speaks against it. */
export function otherKind(bytes: Uint8Array): { readonly is: string; readonly wayOut: string } | undefined {
  if (starts(bytes, 0x50, 0x4b, 3, 4) || starts(bytes, 0x50, 0x4b, 5, 6)) {
    const head = new TextDecoder("latin1").decode(bytes.subarray(0, 4096));
    if (/xl\/|\[Content_Types\]|_rels\/|worksheets|workbook/u.test(head))
      return { is: "a workbook (.xlsx)", wayOut: WORKBOOK };
    if (/mimetypeapplication\/vnd\.oasis/u.test(head)) return { is: "a workbook (.ods)", wayOut: WORKBOOK };
    return { is: "a zip archive", wayOut: "the files in it, unpacked; a workbook saved as CSV" };
  }
  if (starts(bytes, 0xd0, 0xcf, 0x11, 0xe0))
    return { is: "a workbook of the older kind (.xls)", wayOut: WORKBOOK };
  if (starts(bytes, 0x1f, 0x8b)) return { is: "a gzip archive", wayOut: "the file in it, unpacked" };
  if (starts(bytes, 0x37, 0x7a, 0xbc, 0xaf))
    return { is: "a 7z archive", wayOut: "the files in it, unpacked" };
  if (starts(bytes, 0x42, 0x5a, 0x68)) return { is: "a bzip2 archive", wayOut: "the file in it, unpacked" };
  if (starts(bytes, 0x89, 0x50, 0x4e, 0x47)) return { is: "a picture (PNG)", wayOut: CSV };
  if (starts(bytes, 0xff, 0xd8, 0xff)) return { is: "a picture (JPEG)", wayOut: CSV };
  const head = ascii(bytes, 16);
  if (head.startsWith("GIF8") || (head.startsWith("BM") && bytes.subarray(0, 64).includes(0)))
    return { is: "a picture", wayOut: CSV };
  if (head.startsWith("%PDF")) return { is: "a PDF document", wayOut: CSV };
  if (head.startsWith("RIFF")) return { is: "a sound or video file", wayOut: CSV };
  if (head.startsWith("SQLite format 3"))
    return { is: "a database (SQLite)", wayOut: "its table exported as CSV" };
  if (/^(?:MDF|UnFinMF) /u.test(head))
    return { is: "a binary measurement file (MDF)", wayOut: "its channels exported as CSV" };
  if (head.startsWith("\u007fELF") || head.startsWith("MZ")) return { is: "a program", wayOut: CSV };
  return undefined;
}

const textKind = (text: string): { readonly is: string; readonly wayOut: string } | undefined => {
  const head = text
    .slice(0, 2000)
    .replace(/^\uFEFF/u, "")
    .trimStart();
  if (/^(?:<!doctype html|<html|<head|<body)/iu.test(head)) return { is: "a web page (HTML)", wayOut: CSV };
  if (/^<\?xml|^<[a-z]+[^>]*>/iu.test(head)) return { is: "XML", wayOut: CSV };
  if (/^[{[]\s*(?:["{[\]}]|-?\d)/u.test(head) && !/^\[[^\]]*\]\s*[,;\t]/u.test(head))
    return { is: "JSON", wayOut: CSV };
  return undefined;
};

const refuse = ({ is, wayOut }: { readonly is: string; readonly wayOut: string }): never => {
  throw new BellmouthError({
    code: "E_ENCODING",
    message: `this file is ${is}, not text in columns`,
    found: is,
    accepted: wayOut,
  });
};

/**
 * Refuses bytes that are no text of columns, saying what they are.
 *
 * @throws `E_ENCODING`
 */
export function requireText(bytes: Uint8Array): void {
  const other = otherKind(bytes);
  if (other !== undefined) refuse(other);
}

/** The same for text that is another kind of document. @throws `E_ENCODING` */
export function requireColumns(text: string): void {
  const other = textKind(text);
  if (other !== undefined) refuse(other);
}

/** Encoding of a sample of bytes: by its byte-order mark, else by its zero bytes, else by whether UTF-8 reads it. @throws `E_ENCODING` */
export function encodingOf(sample: Uint8Array): FileEncoding {
  if (starts(sample, 0xff, 0xfe)) return "utf-16le";
  if (starts(sample, 0xfe, 0xff)) return "utf-16be";
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
      message: "the file is not text",
      found: `${zeros} zero bytes in the first ${head.length}`,
      accepted: "text in UTF-8, windows-1252 or UTF-16",
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
export const decodeSample = (sample: Uint8Array, encoding: FileEncoding): string =>
  new TextDecoder(encoding).decode(sample, { stream: true });
