import type { Command } from "./command.js";
import { EXIT_WORDS } from "./exit-codes.js";
import { optionsOf } from "./parse-arguments.js";

/** Two columns, the first as wide as its longest entry. */
export function columns(rows: readonly (readonly [string, string])[], indent = "  "): string {
  const width = Math.max(0, ...rows.map(([left]) => left.length));
  return rows.map(([left, right]) => `${indent}${left.padEnd(width)}  ${right}\n`).join("");
}

/** What `bellmouth help` prints. */
export function overview(commands: readonly Command[]): string {
  return `bellmouth: tables for an engine whose air meter has changed

Usage: bellmouth COMMAND [arguments] [options]

Commands
${columns([
  ...commands.map((command) => [command.name, command.about] as const),
  ["help", "this text; 'bellmouth help COMMAND' for one command"],
])}
Options of every command
  --json    print the result (and mistakes) as JSON
  --help    say what the command does

Data go to standard output, messages to standard error. Exit codes:
${columns(EXIT_WORDS.map(([code, words]) => [String(code), words] as const))}`;
}

/** What `bellmouth help COMMAND` prints. */
export function commandHelp(command: Command): string {
  const takes = command.positionals.map((one) =>
    one.optional === true ? `[${one.name}]` : one.many === true ? `${one.name}…` : one.name,
  );
  const positionals =
    command.positionals.length === 0
      ? ""
      : `\nArguments\n${columns(command.positionals.map((one) => [one.name, one.about] as const))}`;
  const options = optionsOf(command).map(
    (spec) => [`--${spec.name}${spec.value === undefined ? "" : ` ${spec.value}`}`, spec.about] as const,
  );
  return `${["bellmouth", command.name, ...takes].join(" ")} [options]

${command.about[0]?.toUpperCase()}${command.about.slice(1)}.
${command.details === undefined ? "" : `\n${command.details}\n`}${positionals}
Options
${columns(options)}`;
}
