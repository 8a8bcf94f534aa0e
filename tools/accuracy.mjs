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
// A row is read on its own, in any order: words that lean on the row before it are refused.
for (const { id, what, source } of rows) {
  if (/^(the same|its|their|and|as above)\b/i.test(what) || /^(the same|as above)\b/i.test(source))
    throw new Error(`accuracy row ${id} leans on another row: "${what}", "${source}"`);
}
const areas = [...new Set(rows.map((row) => row.area))].sort();
let text = `# Accuracy

What the computations are held against, and how far off they were found. This page is written by
\`npm run accuracy\` from the rows the tests leave; \`accuracy:check\` fails when it is out of date.
"Within" is the largest deviation the test accepts; of scores it is what was asked for before anything was measured, and *missed* says
that it was not reached. Rows marked *from memory* are sanity checks and never guard alone.

`;
text += overview(rows);
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

/** The page in ten lines: of each subject the figure that lies nearest to its limit, and every figure that was missed. */
function overview(all) {
  const subjects = [
    ["Air, flow through restrictions, units", ["Air", "Units", "Power"]],
    ["Tables as the ECU executes them", ["Curves"]],
    ["Transfer laws of sensors", ["Transfer law"]],
    ["Velocity profile in the housing", ["Profile factor"]],
    ["Uncertainty of rescaled tables, statistics", ["Uncertainty", "Statistics", "Least squares"]],
    ["Air-temperature elements", ["Temperature elements"]],
    ["Engine demand and headroom", ["Engine demand", "Headroom"]],
    ["Restriction and trials", ["Restriction", "Trial"]],
    ["Refinement from drives", ["Refinement"]],
    ["Logs and the simulator", []],
  ];
  const placed = new Set(subjects.flatMap(([, names]) => names));
  let out =
    "| subject | rows | how far off, in the row nearest to its limit | against | missed |\n| --- | ---: | --- | --- | --- |\n";
  for (const [subject, names] of subjects) {
    const own = all.filter(({ area }) => (names.length === 0 ? !placed.has(area) : names.includes(area)));
    if (own.length === 0) throw new Error(`the overview of docs/accuracy.md finds no rows for "${subject}"`);
    const judged = own.filter(({ evidence, limit }) => evidence !== "from memory" && limit > 0);
    const worst = judged.reduce((a, b) => (b.measured / b.limit > a.measured / a.limit ? b : a), judged[0]);
    const missed = own.filter((row) => row.measured > row.limit);
    out += `| ${subject} | ${own.length} | ${cell(worst.what)}: ${figure(worst.measured, worst.unit)} of ${Number(worst.limit.toPrecision(3))} accepted (${cell(worst.unit)}) | ${cell(worst.source)} | ${missed.length === 0 ? "none" : missedText(missed)} |\n`;
  }
  return `${out}\n`;
}

/** The farthest off first, three in words, the rest as a number: they stand marked in their section. */
function missedText(missed) {
  const worst = [...missed].sort((a, b) => b.measured / (b.limit || 1) - a.measured / (a.limit || 1));
  const shown = worst
    .slice(0, 3)
    .map(
      ({ what, measured, limit, unit }) =>
        `${cell(what)}: ${figure(measured, unit)} for ${Number(limit.toPrecision(3))}`,
    );
  const more = worst.length > 3 ? `; and ${worst.length - 3} more rows` : "";
  return `${shown.join("; ")}${more}`;
}
