import type { BellmouthError, FaultCode } from "bellmouth";

/** What the process says to whoever started it. Documented in docs/concepts/command-line.md and in `bellmouth help`. */
export const EXIT = {
  done: 0,
  /** a mistake in a document, table or log */
  input: 1,
  /** a command line that does not parse */
  usage: 2,
  /** a file that cannot be read or written, or a result that is already there */
  file: 3,
  /** a result that the safety rules refuse: the summary says why, no table is written */
  unsafe: 4,
  /** with --strict: a result that needs a decision first */
  undecided: 5,
  /** an internal error */
  internal: 70,
} as const;
export type ExitCode = (typeof EXIT)[keyof typeof EXIT];

export const EXIT_WORDS: readonly (readonly [ExitCode, string])[] = [
  [EXIT.done, "done"],
  [EXIT.input, "mistakes in the input; each is printed with its file, line and column"],
  [EXIT.usage, "the command line was not understood"],
  [EXIT.file, "a file could not be read or written, or a result is there already"],
  [EXIT.unsafe, "the result was refused by the safety rules; no table is written"],
  [EXIT.undecided, "with --strict: the result needs a decision first"],
  [EXIT.internal, "an internal error of bellmouth; please report it"],
];

const BY_CODE: { readonly [code in FaultCode]?: ExitCode } = {
  E_USAGE: EXIT.usage,
  E_FILE: EXIT.file,
  E_EXISTS: EXIT.file,
  E_UNSAFE: EXIT.unsafe,
};

/** One code for several faults: mistakes in the input come before trouble with files, as they are to be mended first. */
export function exitCodeOf(faults: readonly BellmouthError[]): ExitCode {
  const codes = faults.map((fault) => BY_CODE[fault.code] ?? EXIT.input);
  for (const code of [EXIT.usage, EXIT.input, EXIT.unsafe, EXIT.file]) if (codes.includes(code)) return code;
  return EXIT.internal;
}
