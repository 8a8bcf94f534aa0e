import { type RefineReport, VERDICT_WORDS } from "bellmouth/stage";
import { unitScale } from "bellmouth/text";
import { aligned, between, short } from "./layout.js";
import { plain } from "./words.js";

/** Verdict, the figures that matter, what was found, the drives and what to drive next, for a terminal. */
export function refineText(report: RefineReport): string {
  const { verdict, refinement } = report;
  const words = { danger: "DANGER", caution: "CAUTION", note: "note" } as const;
  const refused = verdict.level === "do not use";
  const figures = report.keyFigures.map(({ name, value, unit, low, high }) => {
    const interval = low === null || high === null ? "" : ` (95 %: ${short(low)} to ${short(high)} ${unit})`;
    return `  ${name}: ${short(value)} ${unit}${interval}\n`;
  });
  const findings = verdict.findings.map(({ level, text }) => `  ${words[level]}: ${plain(text, 2000)}\n`);
  return [
    `${plain(report.title, 200)}\n`,
    `${VERDICT_WORDS[verdict.level].toUpperCase()}: ${plain(verdict.sentence, 500)}\n`,
    // Figures of no drive at all would only look like a result.
    refused ? "" : figures.join(""),
    findings.length === 0 ? "" : `Found\n${findings.join("")}`,
    `Drives\n${refinement.drives.map(driveLine).join("")}`,
    nextTable(report),
  ]
    .filter((part) => part !== "")
    .join("\n");
}

function driveLine(drive: RefineReport["refinement"]["drives"][number]): string {
  const name = plain(drive.name, 80);
  if (drive.refused !== null) return `  ${name}: not used. ${plain(drive.refused.text, 400)}\n`;
  const used = (100 * drive.gates.used) / Math.max(1, drive.gates.rows);
  return `  ${name}: ${(drive.seconds / 60).toFixed(1)} min, ${used.toFixed(0)} % of the rows used\n`;
}

function nextTable({ refinement, units }: RefineReport): string {
  const { next } = refinement;
  if (next.length === 0) return "";
  const { factor } = unitScale(units.flow, "mass flow");
  return `Drive next, where it narrows the table most\n${aligned([
    [
      "airflow",
      "engine speed",
      "manifold over outside",
      "95 % now",
      `after ${next[0]?.seconds ?? 0} s there`,
    ],
    ...next.map(({ flow, speed, pressureRatio, uNow, uAfter }) => [
      `${between(flow[0] / factor, flow[1] / factor)} ${units.flow}`,
      speed === null ? "-" : `${between(60 * speed[0], 60 * speed[1])} rpm`,
      pressureRatio === null ? "-" : `${between(100 * pressureRatio[0], 100 * pressureRatio[1], 2)} %`,
      `± ${short(196 * uNow, 2)} %`,
      `± ${short(196 * uAfter, 2)} %`,
    ]),
  ])}`;
}
