export type { Command, CommandBody, Io, OptionSpec, Outcome, Request } from "./command.js";
export { COMMANDS } from "./commands/index.js";
export { EXIT, type ExitCode } from "./exit-codes.js";
export { run } from "./run.js";
