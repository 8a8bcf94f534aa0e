#!/usr/bin/env node
import { EXIT } from "./exit-codes.js";
import { run } from "./run.js";

// Whoever reads may stop early (`bellmouth units | head`): that is no mistake. A disk that is full is one, and not ours.
process.stdout.on("error", (error: { readonly code?: string }) => {
  if (error.code === "EPIPE") return;
  process.stderr.write(
    `standard output: it could not be written: ${error.code === "ENOSPC" ? "the disk is full" : `the system reports ${error.code}`} [E_FILE]\n`,
  );
  process.exit(EXIT.file);
});
// Messages that nobody can read are lost; the exit code stays.
process.stderr.on("error", () => undefined);

/** The environment's switch for stacks; a program without the right to look does not ask for them. */
function traceWanted(): boolean {
  try {
    return process.env["BELLMOUTH_TRACE"] !== undefined;
  } catch {
    return false;
  }
}

process.exitCode = await run(process.argv.slice(2), {
  stdout: (text) => process.stdout.write(text),
  stderr: (text) => process.stderr.write(text),
  cwd: process.cwd(),
  now: () => new Date(),
  trace: traceWanted(),
});
