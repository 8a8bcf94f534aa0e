import { basename, dirname, join, resolve } from "node:path";
import { BellmouthError } from "../fault/index.js";
import { shown } from "../text/index.js";
import { type Disk, leftBehind, realDisk, tidy } from "./disk.js";
import { fileFault } from "./file-fault.js";

/** Lists the files of a result inside it: only folders that hold it, and nothing else, are ever replaced. */
export const RESULT_MARK = ".bellmouth-result";

export interface WriteOptions {
  /** Put the new result in the place of an earlier one. */
  readonly replace: boolean;
}

/**
 * Writes a result as a folder, all or nothing: into a temporary folder beside the target, flushed to the disk, then
 * renamed. An earlier result is moved aside first and removed last, so that one of the two is whole at any moment;
 * what a killed run left behind is put right by the next.
 *
 * @param target folder of the result
 * @param files  content by plain file name
 * @throws `E_EXISTS` when the target is there and may not be replaced, or holds files that are no result of ours;
 *   `E_FILE` when the disk refuses, with nothing changed
 */
export function writeResultFolder(
  target: string,
  files: Readonly<Record<string, string | Uint8Array>>,
  options: WriteOptions,
  disk: Disk = realDisk,
): void {
  const path = resolve(target);
  const parent = dirname(path);
  for (const name of Object.keys(files)) requirePlainName(name, target);
  try {
    disk.makeFolder(parent);
    recoverResultFolder(target, disk);
  } catch (error) {
    throw fileFault(error, "prepare the folder", target);
  }
  const before = requireReplaceable(path, target, options, disk);
  const temporary = writeTemporary(path, target, files, disk);
  const aside = `${besidePrefix(path)}old-${disk.processId}`;
  try {
    if (before === "result") disk.rename(path, aside);
    else if (before === "empty folder") disk.remove(path);
    try {
      disk.rename(temporary, path);
    } catch (error) {
      if (before === "result") disk.rename(aside, path);
      throw error;
    }
    disk.settle(parent);
  } catch (error) {
    tidy(temporary, disk);
    throw fileFault(error, "put the result in its place", target, "; nothing was changed");
  }
  // The new result stands; an old one that cannot be removed now is removed by the next run.
  if (before === "result") tidy(aside, disk);
}

/**
 * Puts right what a run that was killed left beside a target: an earlier result that was moved aside comes back when
 * nothing took its place; half-written folders go. Called by `writeResultFolder`; call it before reading a result.
 */
export function recoverResultFolder(target: string, disk: Disk = realDisk): void {
  const path = resolve(target);
  const parent = dirname(path);
  const prefix = basename(besidePrefix(path));
  if (!disk.isFolder(parent)) return;
  for (const name of disk.list(parent)) {
    if (!name.startsWith(prefix)) continue;
    const [, kind, id] = /^(old|new)-(\d+)/u.exec(name.slice(prefix.length)) ?? [];
    if (kind === undefined || !leftBehind(Number(id), disk)) continue;
    if (kind === "old" && !disk.exists(path)) disk.rename(join(parent, name), path);
    else disk.remove(join(parent, name));
  }
}

/** Hidden names beside the target, on the same disk, so that a rename is one step. */
const besidePrefix = (path: string): string => join(dirname(path), `.${basename(path)}.bellmouth-`);

/** What stands at the target; throws when it may not be touched. */
function requireReplaceable(
  path: string,
  target: string,
  options: WriteOptions,
  disk: Disk,
): "nothing" | "empty folder" | "result" {
  try {
    if (!disk.exists(path)) return "nothing";
    if (!disk.isFolder(path)) {
      throw new BellmouthError({
        code: "E_EXISTS",
        message: "there is a file where the result's folder should be",
        accepted: "the name of a new folder",
        at: { file: target },
      });
    }
    const present = disk.list(path);
    if (present.length === 0) return "empty folder";
    const ours = present.includes(RESULT_MARK) ? disk.read(join(path, RESULT_MARK)).split("\n") : [];
    const foreign = present.filter((name) => name !== RESULT_MARK && !ours.includes(name));
    if (foreign.length > 0) {
      throw new BellmouthError({
        code: "E_EXISTS",
        message: "the folder holds files that are not part of a result, and they would be lost",
        found: foreign
          .slice(0, 3)
          .map((name) => `'${shown(name)}'`)
          .join(", "),
        accepted: "the name of a new folder, or of an earlier result",
        at: { file: target },
      });
    }
    if (options.replace) return "result";
    throw new BellmouthError({
      code: "E_EXISTS",
      message: "there is a result already",
      accepted: "another folder, or --replace to write in its place",
      at: { file: target },
    });
  } catch (error) {
    if (error instanceof BellmouthError) throw error;
    throw fileFault(error, "look at the folder", target);
  }
}

/** The whole result in a new folder beside the target, on the disk; nothing is left when that fails. */
function writeTemporary(
  path: string,
  target: string,
  files: Readonly<Record<string, string | Uint8Array>>,
  disk: Disk,
): string {
  let temporary: string | undefined;
  try {
    temporary = disk.makeTemporary(`${besidePrefix(path)}new-${disk.processId}-`);
    const names = Object.keys(files);
    for (const name of names) disk.write(join(temporary, name), files[name] ?? "");
    disk.write(join(temporary, RESULT_MARK), `${names.join("\n")}\n`);
    disk.settle(temporary);
    return temporary;
  } catch (error) {
    if (temporary !== undefined) tidy(temporary, disk);
    throw fileFault(error, "write the result", target, "; nothing was changed");
  }
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
