import { dirname, join, resolve } from "node:path";
import { BellmouthError } from "../fault/index.js";
import { shown } from "../text/index.js";
import { type Disk, realDisk, tidy } from "./disk.js";
import { fileFault } from "./file-fault.js";
import { locked } from "./folder-lock.js";
import { besidePrefix, emptyInto, putRight, removeOwn } from "./leftovers.js";
import { isAsWritten, markText, RESULT_MARK, readMark } from "./result-mark.js";

export interface WriteOptions {
  /** Put the new result in the place of an earlier one. */
  readonly replace: boolean;
}

type Files = Readonly<Record<string, string | Uint8Array>>;

/**
 * Writes a result as a folder, all or nothing: into a temporary folder beside the target, flushed to the disk, then
 * renamed. An earlier result is moved aside first and removed last, so that one of the two is whole at any moment;
 * what a killed run left behind is put right by the next. Runs that write to one target do so one after another. Only
 * what was written here, and is still as it was written, is removed. A target that is a symbolic link is followed.
 *
 * @param target folder of the result
 * @param files  content by plain file name
 * @returns names of files that others saved into the earlier result, or changed in it, while it was being replaced: they
 *   are in the new folder
 * @throws `E_EXISTS` when the target is there and may not be replaced, holds files that are no result of ours or were
 *   changed since, or another run keeps writing there; `E_FILE` when the disk refuses, with nothing changed
 */
export function writeResultFolder(
  target: string,
  files: Files,
  options: WriteOptions,
  disk: Disk = realDisk,
): readonly string[] {
  for (const name of Object.keys(files)) requirePlainName(name, target);
  const path = placeOf(target, disk);
  return locked(lockOf(path), target, disk, () => {
    try {
      putRight(path, disk);
    } catch (error) {
      throw fileFault(error, "prepare the folder", target);
    }
    const before = requireReplaceable(path, target, options, disk);
    return putInPlace(writeTemporary(path, target, files, disk), path, target, before, disk);
  });
}

/**
 * Puts right what a run that was killed left beside a target. Called by `writeResultFolder`; call it before reading a
 * result.
 *
 * @throws `E_FILE`, `E_EXISTS` as `writeResultFolder` does
 */
export function recoverResultFolder(target: string, disk: Disk = realDisk): void {
  const path = placeOf(target, disk);
  locked(lockOf(path), target, disk, () => putRight(path, disk));
}

const lockOf = (path: string): string => `${besidePrefix(path)}lock`;

/** Where the target is, with the folders above it made. */
function placeOf(target: string, disk: Disk): string {
  try {
    const path = disk.follow(resolve(target));
    disk.makeFolder(dirname(path));
    return path;
  } catch (error) {
    throw fileFault(error, "prepare the folder", target);
  }
}

type Before = "nothing" | "empty folder" | "result";

/** What stands at the target; throws when it may not be touched. */
function requireReplaceable(path: string, target: string, options: WriteOptions, disk: Disk): Before {
  const refuse = (message: string, accepted: string, found?: string): never => {
    throw new BellmouthError({
      code: "E_EXISTS",
      message,
      accepted,
      ...(found === undefined ? {} : { found }),
      at: { file: target },
    });
  };
  try {
    if (!disk.exists(path)) return "nothing";
    if (!disk.isFolder(path)) {
      refuse("there is a file where the result's folder should be", "the name of a new folder");
    }
    const present = disk.list(path);
    if (present.length === 0) return "empty folder";
    const mark = readMark(path, disk);
    const foreign = present.filter(
      (name) => name !== RESULT_MARK && !(mark !== undefined && isAsWritten(path, name, mark, disk)),
    );
    if (foreign.length > 0 || mark === undefined) {
      const names = foreign.map(
        (name) => `'${shown(name)}'${mark?.has(name) === true ? " (changed since)" : ""}`,
      );
      refuse(
        "the folder holds files that are not part of a result, or were changed since, and they would be lost",
        "the name of a new folder, or of an earlier result as it was written",
        names.length > 3 ? `${names.slice(0, 3).join(", ")} and ${names.length - 3} more` : names.join(", "),
      );
    }
    if (options.replace) return "result";
    return refuse("there is a result already", "another folder, or --replace to write in its place");
  } catch (error) {
    if (error instanceof BellmouthError) throw error;
    throw fileFault(error, "look at the folder", target);
  }
}

/** The whole result in a new folder beside the target, on the disk; nothing is left when that fails. */
function writeTemporary(path: string, target: string, files: Files, disk: Disk): string {
  let temporary: string | undefined;
  try {
    temporary = disk.makeTemporary(`${besidePrefix(path)}new-${disk.processId}-`);
    // The mark first: should this run be killed, the next knows what to remove.
    disk.write(join(temporary, RESULT_MARK), markText(files));
    for (const [name, content] of Object.entries(files)) disk.write(join(temporary, name), content);
    disk.settle(temporary);
    return temporary;
  } catch (error) {
    const left = temporary;
    if (left !== undefined) tidy(() => removeOwn(left, disk));
    throw fileFault(error, "write the result", target, "; nothing was changed");
  }
}

/** Renames the temporary folder to the target, and clears what stood there. */
function putInPlace(
  temporary: string,
  path: string,
  target: string,
  before: Before,
  disk: Disk,
): readonly string[] {
  const aside = `${besidePrefix(path)}old-${disk.processId}`;
  let after = "; nothing was changed";
  try {
    if (before === "result") disk.rename(path, aside);
    // A folder into which something was saved meanwhile is not empty, and stays.
    else if (before === "empty folder") disk.removeEmptyFolder(path);
    try {
      disk.rename(temporary, path);
    } catch (error) {
      tidy(() => {
        if (before === "empty folder") disk.makeFolder(path);
        if (before !== "result") return;
        after = `; the earlier result is in ${aside}`;
        disk.rename(aside, path);
        after = "; nothing was changed";
      });
      throw error;
    }
    after = "; the new result is in its place, but the disk may not hold it yet";
    disk.settle(dirname(path));
  } catch (error) {
    tidy(() => removeOwn(temporary, disk));
    throw fileFault(error, "put the result in its place", target, after);
  }
  // The new result stands; an old one that cannot be removed now is removed by the next run.
  let kept: readonly string[] = [];
  if (before === "result") {
    tidy(() => {
      kept = emptyInto(aside, path, disk);
    });
  }
  return kept;
}

function requirePlainName(name: string, target: string): void {
  if (/^[A-Za-z0-9][A-Za-z0-9._-]{0,99}$/u.test(name)) return;
  throw new BellmouthError({
    code: "E_FILE",
    message: "a result's files have plain names",
    found: `'${shown(name)}'`,
    accepted: "letters, digits, point, hyphen and underscore",
    at: { file: target },
  });
}
