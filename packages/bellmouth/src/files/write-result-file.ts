import { basename, dirname, join, resolve } from "node:path";
import { BellmouthError } from "../fault/index.js";
import { type Disk, leftBehind, realDisk, tidy } from "./disk.js";
import { fileFault } from "./file-fault.js";
import type { WriteOptions } from "./write-result-folder.js";

/**
 * Writes one file, all or nothing: under another name beside the target, flushed to the disk, then renamed.
 *
 * @param target name of the file
 * @throws `E_EXISTS` when the target is there and may not be replaced; `E_FILE` when the disk refuses, with nothing
 *   changed
 */
export function writeResultFile(
  target: string,
  content: string,
  options: WriteOptions,
  disk: Disk = realDisk,
): void {
  const path = resolve(target);
  requireReplaceable(path, target, options, disk);
  const prefix = `.${basename(path)}.new-`;
  const beside = join(dirname(path), `${prefix}${disk.processId}`);
  try {
    disk.makeFolder(dirname(path));
    removeForgotten(dirname(path), prefix, disk);
    disk.write(beside, content);
    disk.rename(beside, path);
    disk.settle(dirname(path));
  } catch (error) {
    tidy(beside, disk);
    throw fileFault(error, "write the file", target, "; nothing was changed");
  }
}

/** Removes what killed runs left half written. */
function removeForgotten(folder: string, prefix: string, disk: Disk): void {
  for (const name of disk.list(folder)) {
    if (!name.startsWith(prefix)) continue;
    const id = name.slice(prefix.length);
    if (/^[1-9]\d*$/u.test(id) && leftBehind(Number(id), disk)) disk.remove(join(folder, name));
  }
}

/** A device or pipe is no file to replace: a rename would put a page in the place of, say, /dev/null. */
function requireReplaceable(path: string, target: string, options: WriteOptions, disk: Disk): void {
  const refuse = (message: string, accepted: string): never => {
    throw new BellmouthError({ code: "E_EXISTS", message, accepted, at: { file: target } });
  };
  try {
    if (!disk.exists(path)) return;
    if (disk.isFolder(path)) refuse("this is a folder", "the name of a file");
    if (!disk.isFile(path)) refuse("this is neither a file nor a folder", "the name of a file");
    if (!options.replace) refuse("there is such a file already", "another name, or --replace");
  } catch (error) {
    if (error instanceof BellmouthError) throw error;
    throw fileFault(error, "look at the file", target);
  }
}
