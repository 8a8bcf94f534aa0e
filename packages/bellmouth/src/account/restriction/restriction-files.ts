import type { RestrictionResult } from "../../stage/index.js";
import { writeTable } from "../../text/index.js";
import { toMarkdown } from "../render-markdown.js";
import type { ResultFile } from "../result-file.js";
import { restrictionAccount } from "./restriction-account.js";

/** Files of a restriction budget: summary, data, and two tables. */
export function restrictionFiles(result: RestrictionResult): readonly ResultFile[] {
  const { budget, byFlow, units } = result;
  const drop = { unit: units.pressure, dimension: "pressure difference" } as const;
  const share = { unit: "%", dimension: "ratio" } as const;
  const of = (pick: (element: (typeof budget.elements)[number]) => number | null | undefined): number[] =>
    budget.elements.map((element) => rounded(pick(element)));
  return [
    { name: "summary.md", text: toMarkdown(restrictionAccount(result)) },
    { name: "restriction.json", text: `${JSON.stringify(result, null, 2)}\n` },
    {
      name: "elements.csv",
      text: writeTable([
        { name: "element", text: budget.elements.map((element) => element.name) },
        { name: "drop", ...drop, values: of((element) => element.drop.value) },
        { name: "drop from", ...drop, values: of((element) => element.drop.from) },
        { name: "drop to", ...drop, values: of((element) => element.drop.to) },
        { name: "share", ...share, values: of((element) => element.share.value) },
        { name: "share from", ...share, values: of((element) => element.share.from) },
        { name: "share to", ...share, values: of((element) => element.share.to) },
        { name: "K", unit: "", dimension: "ratio", values: of((element) => element.k?.value) },
        { name: "Mach", unit: "", dimension: "ratio", values: of((element) => element.mach) },
        { name: "flags", text: budget.elements.map((element) => element.flags.join("; ")) },
      ]),
    },
    {
      name: "by-flow.csv",
      text: writeTable([
        { name: "flow", unit: units.flow, dimension: "mass flow", values: byFlow.flow.map(rounded) },
        ...budget.elements.map((element, j) => ({
          name: element.name,
          ...drop,
          values: (byFlow.drops[j] ?? []).map(rounded),
        })),
      ]),
    },
  ];
}

const rounded = (value: number | null | undefined): number =>
  value === null || value === undefined || !Number.isFinite(value)
    ? Number.NaN
    : Number(value.toPrecision(6));
