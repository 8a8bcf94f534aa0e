import * as fs from "node:fs";
import { dirname } from "node:path";

/** What writing a result asks of the file system; tests put failing ones in its place. */
export interface Disk {
  readonly exists: (path: string) => boolean;
  readonly isFolder: (path: string) => boolean;
  /** Neither a folder nor a device or pipe. */
  readonly isFile: (path: string) => boolean;
  readonly list: (path: string) => readonly string[];
  readonly makeFolder: (path: string) => void;
  readonly makeTemporary: (prefix: string) => string;
  /** Writes a new file and waits until it is on the disk. */
  readonly write: (path: string, content: string | Uint8Array) => void;
  readonly read: (path: string) => string;
  /** Waits until a folder's entries are on the disk. */
  readonly settle: (path: string) => void;
  readonly rename: (from: string, to: string) => void;
  readonly remove: (path: string) => void;
  readonly processLives: (id: number) => boolean;
  readonly processId: number;
}

/** Removes what it can: a failure here must not hide the one that led to it, and the next run tries again. */
export function tidy(path: string, disk: Disk): void {
  try {
    disk.remove(path);
  } catch {
    // See above.
  }
}

/**
 * Whether what carries a process number was left by a run that is over. In containers numbers repeat: what carries our own is an
 * earlier run's too, as long as we have written nothing yet.
 */
export const leftBehind = (id: number, disk: Disk): boolean =>
  id === disk.processId || !disk.processLives(id);

// Not mkdir's own recursion: where a folder is there and takes no entries (/proc) it goes on for ever.
function makeFolder(path: string): void {
  if (realDisk.isFolder(path)) return;
  const parent = dirname(path);
  if (parent !== path) makeFolder(parent);
  try {
    fs.mkdirSync(path);
  } catch (error) {
    // Another run may have made it meanwhile.
    if ((error as { code?: string }).code !== "EEXIST" || !realDisk.isFolder(path)) throw error;
  }
}

export const realDisk: Disk = {
  exists: (path) => fs.lstatSync(path, { throwIfNoEntry: false }) !== undefined,
  isFolder: (path) => fs.statSync(path, { throwIfNoEntry: false })?.isDirectory() ?? false,
  isFile: (path) => fs.statSync(path, { throwIfNoEntry: false })?.isFile() ?? false,
  list: (path) => fs.readdirSync(path),
  makeFolder,
  makeTemporary: (prefix) => fs.mkdtempSync(prefix),
  write: (path, content) => {
    const file = fs.openSync(path, "wx", 0o644);
    try {
      fs.writeFileSync(file, content);
      fs.fsyncSync(file);
    } finally {
      fs.closeSync(file);
    }
  },
  read: (path) => fs.readFileSync(path, "utf8"),
  settle: (path) => {
    // Windows cannot open folders; there the rename alone has to do.
    if (process.platform === "win32") return;
    const folder = fs.openSync(path, "r");
    try {
      fs.fsyncSync(folder);
    } finally {
      fs.closeSync(folder);
    }
  },
  rename: (from, to) => fs.renameSync(from, to),
  remove: (path) => fs.rmSync(path, { recursive: true, force: true }),
  processLives: (id) => {
    try {
      process.kill(id, 0);
      return true;
    } catch (error) {
      return (error as { code?: string }).code === "EPERM";
    }
  },
  processId: process.pid,
};
