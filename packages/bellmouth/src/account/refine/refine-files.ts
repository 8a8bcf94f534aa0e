import type { RefineReport } from "../../stage/index.js";
import { writeTable } from "../../text/index.js";
import { toMarkdown } from "../render-markdown.js";
import type { ResultFile } from "../result-file.js";
import { refineAccount } from "./refine-account.js";

/** Files of a refinement. A refused one gives its summary and data, and no table. */
export function refineFiles(report: RefineReport): readonly ResultFile[] {
  const about: ResultFile[] = [
    { name: "summary.md", text: toMarkdown(refineAccount(report)) },
    { name: "refine.json", text: `${JSON.stringify(report)}\n` },
    { name: "cells.csv", text: cellTable(report) },
  ];
  if (report.verdict.level === "do not use") return about;
  const { cells } = report.refinement.curve;
  return [
    {
      name: "airflow-table.csv",
      text: writeTable([
        {
          name: "signal",
          unit: report.units.signal,
          dimension: report.signal,
          values: cells.map((cell) => cell.signal),
        },
        {
          name: "airflow",
          unit: report.units.flow,
          dimension: "mass flow",
          values: cells.map((cell) => cell.flow),
          digits: 7,
        },
      ]),
    },
    ...about,
  ];
}

function cellTable(report: RefineReport): string {
  const { cells, curve } = report.refinement;
  const flow = { unit: report.units.flow, dimension: "mass flow", digits: 5 } as const;
  const ratio = { unit: "%", dimension: "ratio", digits: 3 } as const;
  return writeTable([
    {
      name: "signal",
      unit: report.units.signal,
      dimension: report.signal,
      values: cells.map((cell) => cell.signal),
    },
    { name: "before", ...flow, values: cells.map((cell) => cell.before) },
    { name: "after", ...flow, values: cells.map((cell) => cell.after) },
    { name: "mean", ...flow, values: cells.map((cell) => cell.mean) },
    { name: "low", ...flow, values: cells.map((cell) => cell.low) },
    { name: "high", ...flow, values: cells.map((cell) => cell.high) },
    { name: "shape low", ...flow, values: cells.map((cell) => cell.shape.low) },
    { name: "shape high", ...flow, values: cells.map((cell) => cell.shape.high) },
    { name: "u", ...ratio, values: cells.map((cell) => cell.u) },
    { name: "u before", ...ratio, values: cells.map((cell) => cell.priorU) },
    { name: "executed", ...ratio, values: cells.map((cell) => cell.executed.worst) },
    { name: "driven", unit: "s", dimension: "time", digits: 5, values: cells.map((cell) => cell.seconds) },
    { name: "held by", text: cells.map((cell) => cell.held ?? "") },
    { name: "flags", text: curve.cells.map((cell) => cell.flags.join("; ")) },
  ]);
}
