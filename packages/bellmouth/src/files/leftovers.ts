import { basename, dirname, join } from "node:path";
import { type Disk, leftBehind, tidy } from "./disk.js";
import { isAsWritten, RESULT_MARK, readMark } from "./result-mark.js";

/** Hidden names beside the target, on the same disk, so that a rename is one step. */
export const besidePrefix = (path: string): string => join(dirname(path), `.${basename(path)}.bellmouth-`);

/**
 * Puts right what killed runs left beside a target: an earlier result that was moved aside comes back when nothing took
 * its place; half-written folders go.
 */
export function putRight(path: string, disk: Disk): void {
  const parent = dirname(path);
  const prefix = basename(besidePrefix(path));
  if (!disk.isFolder(parent)) return;
  for (const name of disk.list(parent)) {
    if (!name.startsWith(prefix)) continue;
    const [, kind, id] = /^(old|new)-(\d+)/u.exec(name.slice(prefix.length)) ?? [];
    if (kind === undefined || !leftBehind(Number(id), disk)) continue;
    const left = join(parent, name);
    if (kind === "new") removeOwn(left, disk);
    else if (!disk.exists(path)) disk.rename(left, path);
    // Where no whole result took its place, the earlier one stays where it is.
    else if (readMark(path, disk) !== undefined) emptyInto(left, path, disk);
  }
}

/** Removes a half-written result: what its mark lists, whatever of it was written. The mark is written first. */
export function removeOwn(folder: string, disk: Disk): void {
  for (const name of readMark(folder, disk)?.keys() ?? []) disk.removeFile(join(folder, name));
  disk.removeFile(join(folder, RESULT_MARK));
  tidy(() => disk.removeEmptyFolder(folder));
}

/** Looks for files that are saved while a folder is being emptied, so often. */
const ROUNDS = 5;

/**
 * Removes an earlier result that was moved aside, and moves what others saved into it meanwhile, or changed in it, into
 * the new one. What cannot be moved stays where it is.
 *
 * @returns names, in the new folder, of what was moved
 */
export function emptyInto(aside: string, into: string, disk: Disk): readonly string[] {
  const kept: string[] = [];
  const mark = readMark(aside, disk) ?? new Map<string, string>();
  for (let round = 0; round < ROUNDS; round++) {
    for (const name of disk.list(aside)) {
      if (name === RESULT_MARK) continue;
      if (isAsWritten(aside, name, mark, disk)) disk.removeFile(join(aside, name));
      else kept.push(moveUnder(join(aside, name), into, name, disk));
    }
    disk.removeFile(join(aside, RESULT_MARK));
    try {
      disk.removeEmptyFolder(aside);
      break;
    } catch (error) {
      if ((error as { code?: string }).code !== "ENOTEMPTY") throw error;
    }
  }
  return kept;
}

function moveUnder(from: string, into: string, name: string, disk: Disk): string {
  for (let n = 0; ; n++) {
    const free = n === 0 ? name : `${name}.kept-${n}`;
    if (disk.moveNew(from, join(into, free))) return free;
  }
}
