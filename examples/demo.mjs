// The demo: plans the housing swap of an invented car and writes the result to out/demo, through the command that a
// user types. `npm run demo` builds and runs it.
import { run } from "@bellmouth/cli";

const root = new URL("../", import.meta.url).pathname;
process.exitCode = await run(["plan", "examples/demo/swap.yaml", "--out", "out/demo", "--replace"], {
  stdout: (text) => process.stdout.write(text),
  stderr: (text) => process.stderr.write(text),
  cwd: root,
});
if (process.exitCode === 0) console.log("\nLook at out/demo/report.html, or out/demo/summary.md.");
