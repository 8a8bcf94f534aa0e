import { parseArgs } from "node:util";
import { BellmouthError } from "bellmouth";
import { COMMON_OPTIONS, type Command, type OptionSpec, type Request } from "./command.js";
import { nearestWord, plain } from "./words.js";

// node:util's parser is used because it costs nothing to load and leaves every decision here: its own messages know
// neither the command's options nor "did you mean".

/** Options of a command and those of all commands. */
export const optionsOf = (command: Command): readonly OptionSpec[] => [...command.options, ...COMMON_OPTIONS];

const usage = (message: string, found: string, accepted: string): BellmouthError =>
  new BellmouthError({ code: "E_USAGE", message, found: `'${plain(found)}'`, accepted });

/**
 * Takes a command's arguments apart.
 *
 * @param given what follows the command's name
 * @throws `E_USAGE` on options that it does not have, values missing or too many, repeats, and wrong numbers of arguments
 */
export function parseArguments(command: Command, given: readonly string[]): Request {
  const specs = optionsOf(command);
  const { tokens } = parseArgs({
    args: [...given],
    strict: false,
    allowPositionals: true,
    tokens: true,
    options: Object.fromEntries([
      ...specs.map((spec) => [spec.name, { type: spec.value === undefined ? "boolean" : "string" }] as const),
      ["help", { type: "boolean", short: "h" }] as const,
    ]),
  });
  const options = new Map<string, string>();
  const positionals: string[] = [];
  const names = specs.map((spec) => `--${spec.name}`);
  for (const token of tokens) {
    if (token.kind === "positional") positionals.push(token.value);
    if (token.kind !== "option") continue;
    const spec = specs.find((one) => one.name === token.name);
    if (spec === undefined) {
      const near = nearestWord(token.rawName, names);
      throw usage(
        `'${command.name}' has no such option${near === undefined ? "" : `; did you mean '${near}'?`}`,
        token.rawName,
        names.join(", "),
      );
    }
    if (spec.value === undefined && token.inlineValue === true) {
      throw usage("this option takes no value", `${token.rawName}=${token.value}`, `--${spec.name}`);
    }
    const value = spec.value === undefined ? "" : token.value;
    // A value that looks like an option is one: '--out --json' forgot the folder.
    if (
      value === undefined ||
      (spec.value !== undefined && (value === "" || (value.startsWith("-") && token.inlineValue !== true)))
    ) {
      throw usage("this option needs a value", token.rawName, `--${spec.name} ${spec.value}`);
    }
    if (options.has(spec.name) && spec.value !== undefined) {
      throw usage("this option is given twice", token.rawName, `one --${spec.name} ${spec.value}`);
    }
    options.set(spec.name, value);
  }
  if (options.has("help")) return { positionals, options };
  const least = command.positionals.filter((one) => one.optional !== true).length;
  const missing = command.positionals[positionals.length];
  const many = command.positionals.at(-1)?.many === true;
  const surplus = many ? undefined : positionals[command.positionals.length];
  if (positionals.length < least && missing !== undefined) {
    throw new BellmouthError({
      code: "E_USAGE",
      message: `'${command.name}' needs ${missing.name}`,
      accepted: `${missing.about}: bellmouth ${command.name} ${command.positionals.map((one) => one.name).join(" ")}`,
    });
  }
  if (surplus !== undefined) {
    throw usage(
      `'${command.name}' takes ${command.positionals.length === 1 ? "one argument" : `${command.positionals.length} arguments`}`,
      surplus,
      command.positionals.map((one) => one.name).join(" ") || "no arguments",
    );
  }
  return { positionals, options };
}
