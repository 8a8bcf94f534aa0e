import { BellmouthError, isFault } from "bellmouth";
import type { Command, Io, Outcome } from "./command.js";
import { COMMANDS } from "./commands/index.js";
import { EXIT, type ExitCode, exitCodeOf } from "./exit-codes.js";
import { commandHelp, overview } from "./help.js";
import { parseArguments } from "./parse-arguments.js";
import { VERSION } from "./version.js";
import { nearestWord, plain, shownJson } from "./words.js";

/**
 * Runs a command line. Nothing of the process is touched except through `io`.
 *
 * @param argv arguments after the program's name
 * @returns exit code, see `EXIT`
 */
export async function run(argv: readonly string[], io: Io): Promise<ExitCode> {
  // Wanted before the arguments are known to parse: whoever reads JSON wants mistakes in it as well.
  const json = argv.includes("--json");
  try {
    const outcome = await dispatch(argv, io);
    const text = json ? shownJson(outcome.data) : outcome.text;
    if (text !== "") io.stdout(text);
    if (outcome.notes !== undefined) io.stderr(outcome.notes);
    return outcome.code ?? EXIT.done;
  } catch (error) {
    if (isFault(error)) return reportFaults(faultsIn(error), json, io);
    return reportInternal(error, json, io);
  }
}

async function dispatch(argv: readonly string[], io: Io): Promise<Outcome> {
  const [first, ...rest] = argv.filter((word, i) => !(i === 0 && word === "--json"));
  if (first === undefined)
    return { data: { ok: false }, text: "", notes: overview(COMMANDS), code: EXIT.usage };
  if (first === "--version") return { data: { version: VERSION }, text: `${VERSION}\n` };
  if (first === "help" || first === "--help" || first === "-h") return help(rest);
  const command = commandNamed(first);
  const request = parseArguments(command, rest);
  if (request.options.has("help")) return helpOf(command);
  const body = await command.load();
  return body(request, { ...io, inputs: new Set() });
}

function help(rest: readonly string[]): Outcome {
  const [name] = rest.filter((word) => !word.startsWith("-"));
  if (name !== undefined) return helpOf(commandNamed(name));
  const text = overview(COMMANDS);
  return { data: { commands: COMMANDS.map(({ name: each, about }) => ({ name: each, about })) }, text };
}

function helpOf(command: Command): Outcome {
  const { name, about, positionals, options } = command;
  return { data: { name, about, positionals, options }, text: commandHelp(command) };
}

function commandNamed(name: string): Command {
  const command = COMMANDS.find((one) => one.name === name);
  if (command !== undefined) return command;
  const names = [...COMMANDS.map((one) => one.name), "help"];
  const near = nearestWord(name, names);
  throw new BellmouthError({
    code: "E_USAGE",
    message: `there is no such command${near === undefined ? "" : `; did you mean '${near}'?`}`,
    found: `'${plain(name)}'`,
    accepted: names.join(", "),
  });
}

/** The faults that one fault gathers (see `gathered` in the documents' room), or itself. */
function faultsIn(error: BellmouthError): readonly BellmouthError[] {
  const { cause } = error;
  return Array.isArray(cause) && cause.every((one) => isFault(one)) ? cause : [error];
}

function reportFaults(faults: readonly BellmouthError[], json: boolean, io: Io): ExitCode {
  const code = exitCodeOf(faults);
  for (const fault of faults) io.stderr(`${fault.message}\n`);
  if (faults.length > 1) io.stderr(`${faults.length} mistakes\n`);
  if (code === EXIT.usage) io.stderr("'bellmouth help' lists commands and options\n");
  if (json) {
    const listed = faults.map(({ code: each, sentence, found, accepted, at, questions }) => ({
      code: each,
      sentence,
      found,
      accepted,
      at,
      ...(questions === undefined ? {} : { questions }),
    }));
    io.stdout(shownJson({ ok: false, exit: code, faults: listed }));
  }
  return code;
}

function reportInternal(error: unknown, json: boolean, io: Io): ExitCode {
  const message = error instanceof Error ? error.message : String(error);
  io.stderr(
    `internal error of bellmouth, not a mistake in your input; please report it: ${plain(message, 300)}\n`,
  );
  if (io.trace === true && error instanceof Error) io.stderr(`${error.stack}\n`);
  if (json) io.stdout(shownJson({ ok: false, exit: EXIT.internal, faults: [] }));
  return EXIT.internal;
}
