import { channelWords } from "../../document/index.js";
import { unitScale, writeTable } from "../../text/index.js";
import { between, escapeText, figure, inUnit, percent, type ResultFile } from "../plan/index.js";
import type { RefineReport } from "./result.js";

/** Files of a refinement. A refused one gives its summary and data, and no table. */
export function refineFiles(report: RefineReport): readonly ResultFile[] {
  const about: ResultFile[] = [
    { name: "summary.md", text: refineMarkdown(report) },
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
    { name: "low", ...flow, values: cells.map((cell) => cell.low) },
    { name: "high", ...flow, values: cells.map((cell) => cell.high) },
    { name: "u", ...ratio, values: cells.map((cell) => cell.u) },
    { name: "u before", ...ratio, values: cells.map((cell) => cell.priorU) },
    { name: "driven", unit: "s", dimension: "time", digits: 5, values: cells.map((cell) => cell.seconds) },
    { name: "held by", text: cells.map((cell) => cell.held ?? "") },
    { name: "flags", text: curve.cells.map((cell) => cell.flags.join("; ")) },
  ]);
}

/** A refinement's summary in Markdown: verdict first, then findings, cautions, what to drive next, cells, how it was read. */
export function refineMarkdown(report: RefineReport): string {
  const words = { danger: "Danger", caution: "Decision needed", note: "Note" };
  const { verdict, refinement } = report;
  const flow = (value: number): string => inUnit(value, report.units.flow, "mass flow");
  const scale = unitScale(report.units.flow, "mass flow").factor;
  return [
    `# ${escapeText(report.title)}`,
    `**${verdict.level.slice(0, 1).toUpperCase()}${verdict.level.slice(1)}.** ${escapeText(verdict.sentence)}`,
    table(
      ["", "", "95 % interval", ""],
      report.keyFigures.map((key) => [
        key.name,
        `**${figure(key.value)} ${key.unit}**`,
        key.low === null || key.high === null ? "" : `${figure(key.low)} to ${figure(key.high)} ${key.unit}`,
        key.meaning,
      ]),
    ),
    `## What was found\n\n${verdict.findings.map(({ level, text }) => `- **${words[level]}:** ${escapeText(text)}`).join("\n")}`,
    `## Before you drive\n\n${report.cautions.map((caution) => `- ${caution}`).join("\n")}`,
    refinement.next.length === 0
      ? ""
      : `## What to drive next\n\n${table(
          [
            "airflow",
            "engine speed",
            "manifold over outside pressure",
            "95 % interval now",
            `after ${refinement.next[0]?.seconds ?? 20} s there`,
          ],
          refinement.next.map((one) => [
            `${between(one.flow[0] / scale, one.flow[1] / scale)} ${report.units.flow}`,
            one.speed === null ? "" : `${between(60 * one.speed[0], 60 * one.speed[1])} rpm`,
            one.pressureRatio === null
              ? ""
              : `${between(100 * one.pressureRatio[0], 100 * one.pressureRatio[1], 2)} %`,
            `± ${percent(1.96 * one.uNow, 2)}`,
            `± ${percent(1.96 * one.uAfter, 2)}`,
          ]),
        )}`,
    `## Cells\n\n${table(
      ["signal", "before", "after", "change", "95 % interval", "driven"],
      refinement.cells.map((cell) => [
        inUnit(cell.signal, report.units.signal, report.signal, 5),
        flow(cell.before),
        flow(cell.after),
        percent(cell.after / cell.before - 1, 2),
        `${flow(cell.low)} to ${flow(cell.high)}`,
        `${figure(cell.seconds, 2)} s`,
      ]),
    )}`,
    `## How the drives were read\n\n${drives(report)}`,
  ]
    .filter((part) => part !== "")
    .join("\n\n")
    .concat("\n");
}

function drives(report: RefineReport): string {
  return report.refinement.drives
    .map((drive, i) => {
      const log = report.logs[i];
      const lines = [`### ${escapeText(drive.name)}`];
      if (drive.refused !== null) lines.push(`Not used: ${escapeText(drive.refused.text)}`);
      else {
        const left = Object.entries(drive.gates.left)
          .map(([reason, count]) => `${reason} ${percent(count / drive.gates.rows, 2)}`)
          .join(", ");
        lines.push(
          `${figure(drive.seconds / 60)} min, told by ${drive.source}; used ${percent(drive.gates.used / drive.gates.rows, 2)} of the rows, worth ${figure(drive.effective, 2)} independent samples. Left out: ${left === "" ? "nothing" : left}.`,
        );
        if (drive.delay !== null && drive.transport !== null)
          lines.push(
            `Lambda follows the fuel after ${figure(drive.delay.value, 2)} s ± ${figure(drive.delay.u, 1)} s at middling flow; the sensor's lag is ${figure(drive.transport.lag, 2)} s.`,
          );
      }
      if (log !== undefined)
        lines.push(
          log.readAs.map(({ channel, from }) => `- ${channelWords(channel)}: ${escapeText(from)}`).join("\n"),
        );
      if (log !== undefined && log.findings.length > 0)
        lines.push(log.findings.map(({ message }) => `- ${escapeText(channelWords(message))}`).join("\n"));
      return lines.join("\n\n");
    })
    .join("\n\n");
}

function table(head: readonly string[], rows: readonly (readonly string[])[]): string {
  const line = (row: readonly string[]): string => `| ${row.join(" | ")} |`;
  return [line(head), line(head.map((_, i) => (i === 0 ? "---" : "---:"))), ...rows.map(line)].join("\n");
}
