import { CLEAR } from "./dialects-clear.js";
import { OPEN } from "./dialects-open.js";
import { makeEntry } from "./entry.js";
import type { CorpusFile } from "./file.js";

/** The files of all named dialects, always the same. */
export function namedFiles(): readonly CorpusFile[] {
  return [...CLEAR, ...OPEN].map(makeEntry);
}
