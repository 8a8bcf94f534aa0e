import { type BigIntStats, realpathSync, statSync } from "node:fs";
import { basename, dirname, join, relative, resolve, sep } from "node:path";

/** What the disk says of a path; nothing where it cannot be there: whoever writes to it is told why. */
function statOf(path: string): BigIntStats | undefined {
  try {
    return statSync(path, { throwIfNoEntry: false, bigint: true });
  } catch {
    return undefined;
  }
}

/** How two paths lie to each other: the same file or folder, the first inside the second, or neither. */
export type Relation = "same" | "inside" | "apart";

/** A path with the links of what exists of it resolved. */
function real(path: string): string {
  try {
    return realpathSync(path);
  } catch {
    const parent = dirname(path);
    return parent === path ? path : join(real(parent), basename(path));
  }
}

/**
 * Compares two places on the disk, through links and names that differ in spelling only.
 *
 * @param a a path that need not be there
 * @param b the same
 */
export function relationOf(a: string, b: string): Relation {
  const [one, other] = [a, b].map((path) => real(resolve(path))) as [string, string];
  const [first, second] = [one, other].map(statOf);
  // A disk that does not tell large and small letters apart, and a second name (hard link) of the same file.
  const same =
    first !== undefined && first.ino !== 0n && first.ino === second?.ino && first.dev === second.dev;
  if (one === other || same) return "same";
  const way = relative(other, one);
  const leaves = way === ".." || way.startsWith(`..${sep}`) || resolve(way) === way;
  return leaves ? "apart" : "inside";
}
