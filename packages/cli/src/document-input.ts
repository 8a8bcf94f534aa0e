import { dirname, resolve } from "node:path";
import { type AnyDocument, type DocumentKind, type DocumentResult, readDocument } from "bellmouth/document";
import { readTextFile, textOpener } from "bellmouth/files";
import { gathered } from "bellmouth/text";
import type { CommandIo } from "./command.js";

/** A document that was read without mistakes, and the files it named. */
export type ReadInput<D> = Extract<DocumentResult<D>, { ok: true }> & { readonly files: readonly string[] };

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
  return { ...result, files };
}
