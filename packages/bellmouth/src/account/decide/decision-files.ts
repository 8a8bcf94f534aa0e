import type { DecisionRow } from "../../intake/index.js";
import type { DecisionResult } from "../../stage/index.js";
import { writeTable } from "../../text/index.js";
import { toMarkdown } from "../render-markdown.js";
import type { ResultFile } from "../result-file.js";
import { decisionAccount } from "./decision-account.js";

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
    { name: "summary.md", text: toMarkdown(decisionAccount(result)) },
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
