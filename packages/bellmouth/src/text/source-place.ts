import type { FaultPlace } from "../fault/index.js";

/** Largest document [characters]: a swap document has some 3,000; data belong in tables beside it. */
export const LARGEST_DOCUMENT = 300_000;
/** Most values a document may come to, aliases written out: stops a few lines from becoming billions. */
export const MOST_VALUES = 20_000;
/** Deepest nesting. */
export const DEEPEST = 50;

export type PathPart = string | number;

/** A document as plain data, with the place of every value. */
export interface SourceTree {
  readonly file: string | undefined;
  /** Objects, arrays, strings, finite numbers, booleans and null. */
  readonly data: unknown;
  /** Line and column of each value (and of its key) by path. */
  readonly places: ReadonlyMap<string, SourcePlace>;
}

export interface SourcePlace {
  readonly line: number;
  readonly column: number;
  readonly keyLine: number;
  readonly keyColumn: number;
  /** the value as written, for scalars */
  readonly text: string | undefined;
}

/** `["scenarios", 0, "peak"]` as `scenarios[0].peak`. */
export function pathText(path: readonly PathPart[]): string {
  let text = "";
  for (const part of path) {
    text += typeof part === "number" ? `[${part}]` : text === "" ? part : `.${part}`;
  }
  return text;
}

/** Place of a path in the document; for a path that is not there, the nearest value that would hold it. */
export function placeOf(source: SourceTree, path: string, of: "value" | "key" = "value"): FaultPlace {
  const file = source.file === undefined ? {} : { file: source.file };
  const shownPath = path === "" ? {} : { path };
  let near = path;
  for (;;) {
    const place = source.places.get(near);
    if (place !== undefined) {
      // A missing key is reported at the key of the block it is missing from.
      const at =
        of === "key" || near !== path
          ? { line: place.keyLine, column: place.keyColumn }
          : { line: place.line, column: place.column };
      return { ...file, ...at, ...shownPath };
    }
    const cut = Math.max(near.lastIndexOf("."), near.lastIndexOf("["));
    if (near === "") return { ...file, ...shownPath };
    near = cut < 0 ? "" : near.slice(0, cut);
  }
}
