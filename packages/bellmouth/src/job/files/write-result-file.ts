import { basename, dirname, join, resolve } from "node:path";
import { BellmouthError } from "../../fault/index.js";
import { type Disk, realDisk } from "./disk.js";
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
  if (disk.exists(path) && (disk.isFolder(path) || !options.replace)) {
    throw new BellmouthError({
      code: "E_EXISTS",
      message: disk.isFolder(path) ? "this is a folder" : "there is such a file already",
      accepted: disk.isFolder(path) ? "the name of a file" : "another name, or --replace",
      at: { file: target },
    });
  }
  const beside = join(dirname(path), `.${basename(path)}.new-${disk.processId}`);
  try {
    disk.makeFolder(dirname(path));
    // Left by a killed run that had our number; we write nothing yet.
    disk.remove(beside);
    disk.write(beside, content);
    disk.rename(beside, path);
    disk.settle(dirname(path));
  } catch (error) {
    disk.remove(beside);
    throw fileFault(error, "write the file", target, "; nothing was changed");
  }
}
