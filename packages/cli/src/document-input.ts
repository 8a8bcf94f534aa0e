import { dirname, resolve } from "node:path";
import { BellmouthError, faultDetails, isFault } from "bellmouth";
import { type AnyDocument, type DocumentKind, type DocumentResult, readDocument } from "bellmouth/document";
import { readTextFile, textOpener } from "bellmouth/files";
import { gathered, placeOf, type SourceTree, separateFaults } from "bellmouth/text";
import type { CommandIo } from "./command.js";

/** A document that was read without mistakes, and the files it named. */
export type ReadInput<D> = Extract<DocumentResult<D>, { ok: true }> & {
  readonly files: readonly string[];
  /** Runs a stage on the document: its faults are told where in the document they come from. */
  readonly placed: <T>(stage: (document: D) => T) => T;
};

/**
 * Reads the document that a command line names.
 *
 * @param name  as given, relative to `io.cwd`
 * @param kinds what the command takes
 * @throws every mistake, gathered
 */
export function readInput<D extends AnyDocument>(
  name: string,
  kinds: readonly DocumentKind<D>[],
  io: CommandIo,
): ReadInput<D> {
  const path = resolve(io.cwd, name);
  const files: string[] = [];
  const open = textOpener(path, name);
  io.inputs.add(path);
  const result = readDocument(kinds, readTextFile(path, name), {
    file: name,
    open: (file) => {
      files.push(file);
      io.inputs.add(resolve(dirname(path), file));
      return open(file);
    },
  });
  if (!result.ok) throw gathered(result.faults);
  // A table in its own words: how each of its columns was read is told, above all what is not used.
  for (const { file, columns } of result.tables)
    io.stderr(
      `${file}: ${columns.map(({ name: column, as, reason }) => `"${column}" ${as === null ? "is not used" : `is ${as}`} (${reason})`).join("; ")}\n`,
    );
  return {
    ...result,
    files,
    placed: (stage) => {
      try {
        return stage(result.document);
      } catch (error) {
        if (!isFault(error)) throw error;
        throw gathered(separateFaults(error).map((fault) => placedFault(fault, result.source)));
      }
    },
  };
}

/** A stage knows keys of the document, and no lines; what it says of a key that is not one is said of the whole. */
function placedFault(fault: BellmouthError, source: SourceTree): BellmouthError {
  const { path, file, line } = fault.at ?? {};
  if (file !== undefined || line !== undefined) return fault;
  const [top = ""] = (path ?? "").split(/[.[]/u);
  const known = path !== undefined && source.places.has(top);
  return new BellmouthError({
    ...faultDetails(fault),
    message: known || path === undefined ? fault.sentence : `${path}: ${fault.sentence}`,
    at: placeOf(source, known ? nearestPath(path, source) : ""),
  });
}

/** The value of the document that a path lies in. */
function nearestPath(path: string, source: SourceTree): string {
  let near = path;
  while (!source.places.has(near)) near = near.replace(/(?:^|[.[])[^.[]*$/u, "");
  return near;
}
