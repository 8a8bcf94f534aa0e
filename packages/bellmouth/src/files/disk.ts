import * as fs from "node:fs";
import { hostname } from "node:os";
import { dirname, resolve } from "node:path";

/** What writing a result asks of the file system; tests put failing ones in its place. */
export interface Disk {
  readonly exists: (path: string) => boolean;
  readonly isFolder: (path: string) => boolean;
  /** Neither a folder nor a device or pipe. */
  readonly isFile: (path: string) => boolean;
  readonly isLink: (path: string) => boolean;
  readonly list: (path: string) => readonly string[];
  readonly makeFolder: (path: string) => void;
  readonly makeTemporary: (prefix: string) => string;
  /** Writes a new file and waits until it is on the disk. */
  readonly write: (path: string, content: string | Uint8Array) => void;
  readonly read: (path: string) => Uint8Array;
  /** Waits until a folder's entries are on the disk. */
  readonly settle: (path: string) => void;
  readonly rename: (from: string, to: string) => void;
  /** Moves a file or folder to a name that is free; false when it is taken. */
  readonly moveNew: (from: string, to: string) => boolean;
  /** Removes one file or link. */
  readonly removeFile: (path: string) => void;
  /** Removes a folder that is empty; throws `ENOTEMPTY` when it is not. */
  readonly removeEmptyFolder: (path: string) => void;
  /** Makes a file that is not there yet, in one step; false when it is there. */
  readonly claim: (path: string, content: string) => boolean;
  /** Where a symbolic link leads, also one that leads to nothing yet; any other path as it is. */
  readonly follow: (path: string) => string;
  readonly wait: (milliseconds: number) => void;
  readonly processLives: (id: number) => boolean;
  readonly processId: number;
  /** Name of the machine: process numbers mean nothing on another. */
  readonly host: string;
}

/** Tries to tidy up: a failure here must not hide the one that led to it, and the next run tries again. */
export function tidy(step: () => void): void {
  try {
    step();
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
    if (codeOf(error) !== "EEXIST" || !realDisk.isFolder(path)) throw error;
  }
}

const codeOf = (error: unknown): string | undefined => (error as { code?: string }).code;

function write(path: string, content: string | Uint8Array): void {
  const file = fs.openSync(path, "wx", 0o644);
  try {
    fs.writeFileSync(file, content);
    fs.fsyncSync(file);
  } finally {
    fs.closeSync(file);
  }
}

// A second name and then one less: a plain rename would replace a file that was saved under the new name meanwhile.
function moveNew(from: string, to: string): boolean {
  if (!(realDisk.isFolder(from) || realDisk.isLink(from))) {
    try {
      fs.linkSync(from, to);
      fs.unlinkSync(from);
      return true;
    } catch (error) {
      if (codeOf(error) === "EEXIST") return false;
      // Some disks know no second names; there the look and the rename below have to do.
      if (!["EPERM", "ENOTSUP", "EOPNOTSUPP", "ENOSYS", "EMLINK"].includes(codeOf(error) ?? "")) throw error;
    }
  }
  if (realDisk.exists(to)) return false;
  fs.renameSync(from, to);
  return true;
}

/** Links that lead to one another more often than this lead in a circle. */
const MOST_LINKS = 40;

function follow(path: string): string {
  let now = path;
  for (let links = 0; realDisk.isLink(now); links++) {
    if (links === MOST_LINKS) throw Object.assign(new Error("links lead in a circle"), { code: "ELOOP" });
    now = resolve(dirname(now), fs.readlinkSync(now));
  }
  return now;
}

export const realDisk: Disk = {
  exists: (path) => fs.lstatSync(path, { throwIfNoEntry: false }) !== undefined,
  isFolder: (path) => fs.statSync(path, { throwIfNoEntry: false })?.isDirectory() ?? false,
  isFile: (path) => fs.statSync(path, { throwIfNoEntry: false })?.isFile() ?? false,
  isLink: (path) => fs.lstatSync(path, { throwIfNoEntry: false })?.isSymbolicLink() ?? false,
  list: (path) => fs.readdirSync(path),
  makeFolder,
  makeTemporary: (prefix) => fs.mkdtempSync(prefix),
  write,
  read: (path) => fs.readFileSync(path),
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
  moveNew,
  removeFile: (path) => fs.rmSync(path, { force: true }),
  removeEmptyFolder: (path) => fs.rmdirSync(path),
  claim: (path, content) => {
    try {
      write(path, content);
      return true;
    } catch (error) {
      if (codeOf(error) === "EEXIST") return false;
      tidy(() => fs.rmSync(path, { force: true }));
      throw error;
    }
  },
  follow,
  wait: (milliseconds) => {
    Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, milliseconds);
  },
  processLives: (id) => {
    try {
      process.kill(id, 0);
      return true;
    } catch (error) {
      return codeOf(error) === "EPERM";
    }
  },
  processId: process.pid,
  host: hostname(),
};
