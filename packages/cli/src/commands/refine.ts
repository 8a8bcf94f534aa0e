import { dirname, resolve } from "node:path";
import {
  type RefineDocument,
  type RefineReport,
  refineDocument,
  refineFiles,
  refineFromLogs,
} from "bellmouth/job";
import type { CommandBody } from "../command.js";
import { readInput } from "../document-input.js";
import type { LogTask } from "../log-file.js";
import { deliver } from "../result-output.js";
import { sumUpLogs } from "../sum-up-logs.js";
import { plain } from "../words.js";

/** Refines a table from logs of drives. */
export const body: CommandBody = async (request, io) => {
  const [name = ""] = request.positionals;
  const { document } = readInput(name, [refineDocument], io);
  const folder = dirname(resolve(io.cwd, name));
  const task =
    (meter: LogTask["meter"]) =>
    (log: string): LogTask => ({
      document,
      meter,
      name: log,
      path: resolve(folder, log),
    });
  const tasks = [...document.logs.map(task("new")), ...(document.oldMeter?.logs ?? []).map(task("old"))];
  const outcomes = await sumUpLogs(tasks);
  const report = refineFromLogs(
    document,
    outcomes.slice(0, document.logs.length),
    outcomes.slice(document.logs.length),
  );
  return deliver(
    {
      data: report,
      text: refineText(report, document),
      files: refineFiles(report),
      page: [report],
      refused: report.verdict.level === "refused",
    },
    request,
    io,
  );
};

function refineText(report: RefineReport, document: RefineDocument): string {
  const { verdict, refinement } = report;
  const tag = { refuse: "refused", look: "look", note: "note" } as const;
  const next = refinement.next.map((one) => {
    const speed =
      one.speed === null
        ? ""
        : `, ${(60 * one.speed[0]).toFixed(0)} to ${(60 * one.speed[1]).toFixed(0)} rpm`;
    const ratio =
      one.pressureRatio === null
        ? ""
        : `, manifold at ${(100 * one.pressureRatio[0]).toFixed(0)} to ${(100 * one.pressureRatio[1]).toFixed(0)} % of outside pressure`;
    return `  ${(1000 * one.flow[0]).toFixed(1)} to ${(1000 * one.flow[1]).toFixed(1)} g/s${speed}${ratio}: ${(100 * one.uNow).toFixed(2)} % now, ${(100 * one.uAfter).toFixed(2)} % after ${one.seconds} s`;
  });
  const drives = refinement.drives.map((drive) =>
    drive.refused === null
      ? `  ${plain(drive.name, 80)}: ${(drive.seconds / 60).toFixed(1)} min, ${((100 * drive.gates.used) / Math.max(1, drive.gates.rows)).toFixed(0)} % of the rows used`
      : `  ${plain(drive.name, 80)}: not used. ${plain(drive.refused.text, 400)}`,
  );
  return `${plain(document.title, 200)}

${verdict.level.toUpperCase()}: ${plain(verdict.sentence, 500)}

${report.keyFigures
  .map(
    (key) =>
      `  ${key.name}: ${key.value.toFixed(2)} ${key.unit}${key.low === null || key.high === null ? "" : ` (95 %: ${key.low.toFixed(2)} to ${key.high.toFixed(2)})`}`,
  )
  .join("\n")}

${verdict.reasons.map(({ severity, text }) => `[${tag[severity]}] ${plain(text, 600)}`).join("\n")}

Drives:
${drives.join("\n")}
${next.length === 0 ? "" : `\nDrive next, where it narrows the table most:\n${next.join("\n")}\n`}`;
}
