// Did it help? Six pulls of an invented car, old and new housing in turn, judged with intervals that come from the runs.
// Run: node examples/trial.mjs (after npm run build)

import { readDocument, trialDocument } from "bellmouth/document";
import { readTextFile, textOpener } from "bellmouth/files";
import { runsNeeded } from "bellmouth/intake";
import { compareTrial } from "bellmouth/stage";

const file = new URL("trial/trial.yaml", import.meta.url).pathname;
const read = readDocument([trialDocument], readTextFile(file), { file, open: textOpener(file) });
if (!read.ok) throw read.faults[0];

const { verdict, pressure, gain } = compareTrial(read.document);
console.log(verdict.sentence);
for (const { speed, effect, estimate } of pressure.points) {
  const interval = `${estimate.from.toFixed(0)} to ${estimate.to.toFixed(0)} Pa`;
  console.log(`  ${(60 * speed).toFixed(0)} rpm: ${effect.toFixed(0)} Pa more (${interval})`);
}
console.log(
  `worth ${(gain.gain.value / 1000).toFixed(2)} kW (${(gain.gain.from / 1000).toFixed(2)} to ${(gain.gain.to / 1000).toFixed(2)})`,
);

// Planning the next one: how many runs would show a difference of 60 Pa with this car on this road?
const plan = runsNeeded(60, pressure.runSd, { power: 0.8, confidence: 0.95, drift: "unknown" });
console.log(`60 Pa would take ${plan.perSide} runs a side, in the order ${plan.order.join(", ")}`);
