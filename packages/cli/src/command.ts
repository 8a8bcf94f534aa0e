import type { ExitCode } from "./exit-codes.js";

/** What a command has of the world. `main.ts` gives it the process's; tests give it their own. */
export interface Io {
  /** Data. */
  readonly stdout: (text: string) => void;
  /** Messages. */
  readonly stderr: (text: string) => void;
  /** Folder that file names on the command line are relative to. */
  readonly cwd: string;
  readonly now?: () => Date;
  /** Print the stack of a mistake of ours. */
  readonly trace?: boolean;
}

/** What a body has of the world. */
export interface CommandIo extends Io {
  /** Paths of the files that were read: no result takes their place. */
  readonly inputs: Set<string>;
}

/** An option of a command; `value` names what follows it, and is left out for a switch. */
export interface OptionSpec {
  readonly name: string;
  readonly value?: string;
  readonly about: string;
}

/** What stands on the command line without a dash. */
export interface PositionalSpec {
  readonly name: string;
  readonly about: string;
  readonly optional?: boolean;
  /** Takes all that follow too; only for the last. */
  readonly many?: boolean;
}

/** A command line, taken apart and checked. */
export interface Request {
  readonly positionals: readonly string[];
  /** Values by option name; switches that are set hold "". */
  readonly options: ReadonlyMap<string, string>;
}

/** What a command gives back; the runner prints it. */
export interface Outcome {
  /** `done` when left out */
  readonly code?: ExitCode;
  /** For `--json`: goes to stdout as JSON. */
  readonly data: unknown;
  /** For people: goes to stdout. */
  readonly text: string;
  /** Goes to stderr. */
  readonly notes?: string;
}

export type CommandBody = (request: Request, io: CommandIo) => Outcome | Promise<Outcome>;

/** A command is data; its body, with the library it needs, is loaded when it is called. */
export interface Command {
  readonly name: string;
  /** One line. */
  readonly about: string;
  /** More, for its own help. */
  readonly details?: string;
  readonly positionals: readonly PositionalSpec[];
  readonly options: readonly OptionSpec[];
  readonly load: () => Promise<CommandBody>;
}

/** Options that every command takes. */
export const COMMON_OPTIONS: readonly OptionSpec[] = [
  { name: "json", about: "print the result (and mistakes) as JSON" },
  { name: "help", about: "say what the command does" },
];

/** Options of commands that can show a page. */
export const PAGE_OPTIONS: readonly OptionSpec[] = [
  { name: "report", value: "FILE", about: "write one page to look at (HTML, opens from disk)" },
  { name: "pictures", value: "FOLDER", about: "write each picture as an SVG file into a new folder" },
  { name: "replace", about: "write in the place of an earlier result" },
  { name: "strict", about: "end with 5 where the result needs a decision first" },
];

/** Options of commands that write a result. */
export const RESULT_OPTIONS: readonly OptionSpec[] = [
  { name: "out", value: "FOLDER", about: "write the result's files into a new folder" },
  ...PAGE_OPTIONS,
];
