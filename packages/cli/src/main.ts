#!/usr/bin/env node
import { run } from "./run.js";

// Whoever reads may stop early (`bellmouth units | head`): that is no mistake.
process.stdout.on("error", (error: { readonly code?: string }) => {
  if (error.code !== "EPIPE") throw error;
});

process.exitCode = await run(process.argv.slice(2), {
  stdout: (text) => process.stdout.write(text),
  stderr: (text) => process.stderr.write(text),
  cwd: process.cwd(),
  now: () => new Date(),
  trace: process.env["BELLMOUTH_TRACE"] !== undefined,
});
