import type { DecisionDocument } from "../../document/index.js";
import { type CostRate, type DecisionRow, decide } from "../../intake/index.js";
import { writeTable } from "../../text/index.js";
import { bullets, joinParts, markdownTable } from "../markdown-parts.js";
import { chance, figure, inUnit } from "../plan/figures.js";
import { escapeText } from "../plan/markdown.js";
import type { ResultFile } from "../plan/plan-files.js";
import type { DecisionResult } from "./result.js";

/**
 * Weighs changes from a document.
 *
 * @param document as `readDocument` gives it
 * @throws faults of `decide`
 */
export function weighDecision(document: DecisionDocument): DecisionResult {
  return {
    bellmouth: "decision 1",
    title: document.title,
    units: document.units,
    table: decide(document.options, document.currency, document.together),
  };
}

/** The decision table in Markdown. */
export function decisionMarkdown(result: DecisionResult): string {
  const { table, units } = result;
  const money = (value: number): string => `${figure(value, 4)} ${escapeText(table.currency)}`;
  const power = (value: number): string => inUnit(value, units.power, "power");
  const rows = table.rows.map((row) => [
    escapeText(row.options.join(" + ")),
    money(row.parts),
    money(row.work),
    `**${money(row.total)}**`,
    row.saved > 0 ? money(row.saved) : "",
    row.gain === null ? "" : `${power(row.gain.value)} ± ${power((row.gain.to ?? 0) - row.gain.value)}`,
    rateText(row.perKilowatt),
    rateText(row.perHorsepower),
    row.room === null
      ? ""
      : `${inUnit(row.room.flowLeft, units.flow, "mass flow")}, over: ${chance(row.room.probabilityOver)}`,
    row.flags.join(", "),
  ]);
  const currency = escapeText(table.currency);
  return joinParts([
    `# ${escapeText(result.title)}`,
    markdownTable(
      [
        "change",
        "parts",
        "work",
        "together",
        "saved by sharing",
        "gain (95 %)",
        `${currency} per kW`,
        `${currency} per hp`,
        "room left",
        "",
      ],
      rows,
    ),
    "Work of one name is paid once when done together. Costs per kW and hp carry the interval of the gain; where the gain may be nothing, there is no upper limit.",
    `## What the table does not decide\n\n${bullets(table.cautions)}`,
  ]);
}

const rateText = (rate: CostRate | null): string =>
  rate === null || rate.value === null
    ? ""
    : `${figure(rate.value)} (${rate.from === null ? "0" : figure(rate.from)} to ${rate.to === null ? "no limit" : figure(rate.to)})`;

/** Files of a decision: summary, data, table. */
export function decisionFiles(result: DecisionResult): readonly ResultFile[] {
  const { rows } = result.table;
  const number = (pick: (row: DecisionRow) => number | null | undefined): number[] =>
    rows.map((row) => {
      const value = pick(row);
      return value === null || value === undefined ? Number.NaN : Number(value.toPrecision(8));
    });
  const plain = { unit: "", dimension: "ratio" } as const;
  const power = { unit: result.units.power, dimension: "power" } as const;
  return [
    { name: "summary.md", text: decisionMarkdown(result) },
    { name: "decision.json", text: `${JSON.stringify(result, null, 2)}\n` },
    {
      name: "options.csv",
      text: writeTable([
        { name: "change", text: rows.map((row) => row.options.join(" + ")) },
        { name: "parts", ...plain, values: number((row) => row.parts) },
        { name: "work", ...plain, values: number((row) => row.work) },
        { name: "together", ...plain, values: number((row) => row.total) },
        { name: "saved by sharing", ...plain, values: number((row) => row.saved) },
        { name: "gain", ...power, values: number((row) => row.gain?.value) },
        { name: "gain from", ...power, values: number((row) => row.gain?.from) },
        { name: "gain to", ...power, values: number((row) => row.gain?.to) },
        { name: "per kW", ...plain, values: number((row) => row.perKilowatt?.value) },
        { name: "per hp", ...plain, values: number((row) => row.perHorsepower?.value) },
        { name: "flags", text: rows.map((row) => row.flags.join("; ")) },
      ]),
    },
  ];
}
