// Gathers the rows that the conformance and scoring tests left in .accuracy/ into docs/accuracy.md.
// With --check it writes nothing and fails when the page differs: the page cannot rot.
import { readdirSync, readFileSync, writeFileSync } from "node:fs";

const page = new URL("../docs/accuracy.md", import.meta.url);
const read = (folder) => {
  try {
    return readdirSync(folder)
      .filter((name) => name.endsWith(".json"))
      .sort()
      .map((name) => JSON.parse(readFileSync(new URL(name, folder), "utf8")));
  } catch {
    return [];
  }
};
// Quick rows are remade by every test run; scored rows come from long runs and are committed with their commands.
const quick = read(new URL("../.accuracy/", import.meta.url));
const scored = read(new URL("../tests/bench/scores/", import.meta.url)).flat();
const rows = [...quick, ...scored];
if (quick.length === 0) {
  console.error("no accuracy rows: run the tests first (npm test)");
  process.exit(1);
}
const ids = new Set();
for (const row of rows) {
  if (ids.has(row.id)) throw new Error(`accuracy row ${row.id} is written twice`);
  ids.add(row.id);
}
// Two digits: enough to judge by, and the same on every machine. Deviations at rounding level are shown as such.
const figure = (value, unit) => {
  if (value === 0 && /cells|drives/.test(unit)) return "0";
  return Math.abs(value) < 1e-10 ? "< 1e-10" : Number(value.toPrecision(2)).toString();
};
const cell = (text) => String(text).replaceAll("|", "\\|").replaceAll("\n", " ");
const areas = [...new Set(rows.map((row) => row.area))].sort();
let text = `# Accuracy

What the computations are held against, and how far off they were found. This page is written by
\`npm run accuracy\` from the rows the tests leave; \`accuracy:check\` fails when it is out of date.
"Within" is the largest deviation the test accepts; of scores it is what was asked for before anything was measured, and *missed* says
that it was not reached. Rows marked *from memory* are sanity checks and never guard alone.

`;
for (const area of areas) {
  text += `## ${area}\n\n| check | against | evidence | values | found | within | figure |\n| --- | --- | --- | ---: | ---: | ---: | --- |\n`;
  for (const row of rows.filter((candidate) => candidate.area === area)) {
    text += `| ${cell(row.what)} | ${cell(row.source)} | ${row.evidence} | ${row.compared} | ${figure(row.measured, row.unit)} | ${Number(row.limit.toPrecision(3))}${row.measured <= row.limit ? "" : " **missed**"} | ${cell(row.unit)} |\n`;
  }
  text += "\n";
}
if (process.argv.includes("--check")) {
  const committed = readFileSync(page, "utf8");
  if (committed !== text) {
    console.error("docs/accuracy.md is out of date: run `npm run accuracy` and commit it");
    const before = new Set(committed.split("\n"));
    for (const line of text.split("\n")) if (!before.has(line)) console.error(`now: ${line}`);
    process.exit(1);
  }
  console.log(`docs/accuracy.md holds ${rows.length} rows and is up to date`);
} else {
  writeFileSync(page, text);
  console.log(`docs/accuracy.md: ${rows.length} rows`);
}
