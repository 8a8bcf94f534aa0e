import { basename, dirname, join, resolve } from "node:path";
import { BellmouthError } from "../fault/index.js";
import { type Disk, leftBehind, realDisk, tidy } from "./disk.js";
import { fileFault } from "./file-fault.js";
import { locked } from "./folder-lock.js";
import type { WriteOptions } from "./write-result-folder.js";

/**
 * Writes one file, all or nothing: under another name beside the target, flushed to the disk, then renamed. Runs that
 * write to one target do so one after another. A target that is a symbolic link is followed.
 *
 * @param target name of the file
 * @throws `E_EXISTS` when the target is there and may not be replaced, or another run keeps writing there; `E_FILE` when
 *   the disk refuses, with nothing changed
 */
export function writeResultFile(
  target: string,
  content: string,
  options: WriteOptions,
  disk: Disk = realDisk,
): void {
  // Before any folder is made.
  requireReplaceable(resolve(target), target, options, disk);
  let path: string;
  try {
    path = disk.follow(resolve(target));
    disk.makeFolder(dirname(path));
  } catch (error) {
    throw fileFault(error, "write the file", target, "; nothing was changed");
  }
  const hidden = join(dirname(path), `.${basename(path)}`);
  locked(`${hidden}.lock`, target, disk, () => {
    requireReplaceable(path, target, options, disk);
    const beside = `${hidden}.new-${disk.processId}`;
    try {
      removeForgotten(dirname(path), `${basename(hidden)}.new-`, disk);
      disk.write(beside, content);
      if (options.replace) disk.rename(beside, path);
      else if (!disk.moveNew(beside, path)) throw alreadyThere(target);
      disk.settle(dirname(path));
    } catch (error) {
      tidy(() => disk.removeFile(beside));
      if (error instanceof BellmouthError) throw error;
      throw fileFault(error, "write the file", target, "; nothing was changed");
    }
  });
}

/** Removes what killed runs left half written. */
function removeForgotten(folder: string, prefix: string, disk: Disk): void {
  for (const name of disk.list(folder)) {
    if (!name.startsWith(prefix)) continue;
    const id = name.slice(prefix.length);
    if (/^[1-9]\d*$/u.test(id) && leftBehind(Number(id), disk)) disk.removeFile(join(folder, name));
  }
}

const refusal = (target: string, message: string, accepted: string): BellmouthError =>
  new BellmouthError({ code: "E_EXISTS", message, accepted, at: { file: target } });

const alreadyThere = (target: string): BellmouthError =>
  refusal(target, "there is such a file already", "another name, or --replace");

/** A device or pipe is no file to replace: a rename would put a page in the place of, say, /dev/null. */
function requireReplaceable(path: string, target: string, options: WriteOptions, disk: Disk): void {
  try {
    // A link that leads to nothing yet is a name like any other.
    if (!disk.exists(path) || !disk.exists(disk.follow(path))) return;
    if (disk.isFolder(path)) throw refusal(target, "this is a folder", "the name of a file");
    if (!disk.isFile(path)) {
      throw refusal(target, "this is neither a file nor a folder", "the name of a file");
    }
    if (!options.replace) throw alreadyThere(target);
  } catch (error) {
    if (error instanceof BellmouthError) throw error;
    throw fileFault(error, "look at the file", target);
  }
}
