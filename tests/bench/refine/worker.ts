import { createInterface } from "node:readline";
import type { ScoreCase } from "./cases.js";
import { scoreCase } from "./score-case.js";
import { type SpecialCase, scoreSpecial } from "./special.js";

// One case a line in, one score a line out: so that more than one core can be kept busy, and a crash names its case.
createInterface({ input: process.stdin }).on("line", (line) => {
  const one = JSON.parse(line) as ScoreCase | SpecialCase;
  process.stdout.write(`${JSON.stringify("special" in one ? scoreSpecial(one) : scoreCase(one))}\n`);
});
