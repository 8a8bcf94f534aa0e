// Is it worth it? Cost against gain, alone and together: one dyno session instead of two. Invented figures.
// Run: node examples/decision.mjs (after npm run build)
import { decisionDocument, readDocument } from "bellmouth/document";
import { readTextFile } from "bellmouth/files";
import { weighDecision } from "bellmouth/stage";

const file = new URL("decision/decision.yaml", import.meta.url).pathname;
const read = readDocument([decisionDocument], readTextFile(file), { file });
if (!read.ok) throw read.faults[0];

const { table } = weighDecision(read.document);
for (const { options, total, saved, gain, perKilowatt, flags } of table.rows) {
  const rate = `${perKilowatt.value.toFixed(0)} ${table.currency} per kW (${perKilowatt.from.toFixed(0)} to ${perKilowatt.to?.toFixed(0) ?? "no limit"})`;
  console.log(
    `${options.join(" + ")}: ${total} ${table.currency}, ${(gain.value / 1000).toFixed(1)} kW, ${rate}`,
  );
  if (saved > 0) console.log(`  done together saves ${saved} ${table.currency}`);
  if (flags.length > 0) console.log(`  ${flags.join(", ")}`);
}
for (const caution of table.cautions) console.log(`! ${caution}`);
