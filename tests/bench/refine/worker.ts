import { createInterface } from "node:readline";
import type { ScoreCase } from "./cases.js";
import { scoreCase } from "./score-case.js";

// One case a line in, one score a line out: the parent keeps both cores busy.
createInterface({ input: process.stdin }).on("line", (line) => {
  process.stdout.write(`${JSON.stringify(scoreCase(JSON.parse(line) as ScoreCase))}\n`);
});
