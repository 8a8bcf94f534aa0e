import { createHash } from "node:crypto";
import { join } from "node:path";
import type { Disk } from "./disk.js";

/**
 * Lists the files of a result inside it with the SHA-256 of each, as `sha256sum` does: only what is listed here and still
 * as it was written is ever replaced or removed.
 */
export const RESULT_MARK = ".bellmouth-result";

type Content = string | Uint8Array;

const sha256 = (content: Content): string => createHash("sha256").update(content).digest("hex");

/** The mark's text for a result. */
export const markText = (files: Readonly<Record<string, Content>>): string =>
  Object.entries(files)
    .map(([name, content]) => `${sha256(content)}  ${name}\n`)
    .join("");

/** SHA-256 by file name; undefined where a folder holds no mark. */
export function readMark(folder: string, disk: Disk): ReadonlyMap<string, string> | undefined {
  const path = join(folder, RESULT_MARK);
  if (!disk.exists(path) || !disk.isFile(path) || disk.isLink(path)) return undefined;
  const lines = new TextDecoder().decode(disk.read(path)).split("\n");
  return new Map(
    lines.flatMap((line) => {
      // Earlier versions wrote names alone: what they list counts as written, whatever it holds.
      const [, sum = "", name] = /^(?:([0-9a-f]{64}) {2})?(.+)$/u.exec(line) ?? [];
      return name === undefined ? [] : [[name, sum] as const];
    }),
  );
}

/** Whether a file of a result's folder is as it was written. */
export function isAsWritten(
  folder: string,
  name: string,
  mark: ReadonlyMap<string, string>,
  disk: Disk,
): boolean {
  const sum = mark.get(name);
  const path = join(folder, name);
  if (sum === undefined || !disk.isFile(path) || disk.isLink(path)) return false;
  return sum === "" || sha256(disk.read(path)) === sum;
}
