// Where does the pressure go? The budget of an invented intake, from readings at four stations, and what two changes would do.
// Run: node examples/restriction.mjs (after npm run build)
import { readDocument, restrictionDocument } from "bellmouth/document";
import { readTextFile, textOpener } from "bellmouth/files";
import { measureRestriction } from "bellmouth/stage";

const file = new URL("restriction/restriction.yaml", import.meta.url).pathname;
const read = readDocument([restrictionDocument], readTextFile(file), { file, open: textOpener(file) });
if (!read.ok) throw read.faults[0];

const { verdict, budget, changes } = measureRestriction(read.document);
console.log(verdict.sentence);
for (const { name, drop, share, k } of budget.elements) {
  const percent = (value) => (100 * value).toFixed(1);
  const interval = `${percent(share.from)} to ${percent(share.to)} %`;
  console.log(
    `  ${name.padEnd(18)} ${drop.value.toFixed(0).padStart(5)} Pa  ${percent(share.value)} % (${interval})` +
      (k === null ? "" : `  K ${k.value.toFixed(2)}`),
  );
}
for (const { change, rise } of changes) {
  const what = change.change === "remove" ? `without the ${change.element}` : `a larger ${change.element}`;
  console.log(
    `  ${what}: ${rise.value.toFixed(0)} Pa more at the same engine speed (${rise.from.toFixed(0)} to ${rise.to.toFixed(0)})`,
  );
}
