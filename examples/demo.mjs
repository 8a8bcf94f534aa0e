// The demo: plans the housing swap of an invented car and writes the result to out/demo, through the command that a
// user types. `npm run demo` builds and runs it. The summary's beginning is shown, all of it is in out/demo/summary.md.
import { run } from "@bellmouth/cli";

const root = new URL("../", import.meta.url).pathname;
const SHOWN = 22;
let text = "";
const code = await run(["plan", "examples/demo/swap.yaml", "--out", "out/demo", "--replace"], {
  stdout: (part) => {
    text += part;
  },
  stderr: (part) => process.stderr.write(part),
  cwd: root,
});
const lines = text.trimEnd().split("\n");
console.log(lines.slice(0, SHOWN).join("\n"));
if (lines.length > SHOWN) console.log(`... and ${lines.length - SHOWN} lines more.`);
if (code === 0) console.log("\nLook at out/demo/report.html, or out/demo/summary.md.");
process.exitCode = code;
