import { escapeText } from "./plan/markdown.js";
import type { Finding } from "./result-parts.js";

/** A Markdown table; the first column left, the others right. Cells are taken as Markdown. */
export function markdownTable(head: readonly string[], rows: readonly (readonly string[])[]): string {
  const line = (row: readonly string[]): string => `| ${row.join(" | ")} |`;
  return [line(head), line(head.map((_, i) => (i === 0 ? "---" : "---:"))), ...rows.map(line)].join("\n");
}

/** Findings as a list under a heading; nothing when there are none. */
export function findingList(findings: readonly Finding[]): string {
  if (findings.length === 0) return "";
  const words = { danger: "Do not use", caution: "Decision needed", note: "Note" };
  return `## What was found\n\n${findings
    .map(({ level, text }) => `- **${words[level]}:** ${escapeText(text)}`)
    .join("\n")}`;
}

/** Parts of a document, blank lines between, empty ones left out. */
export const joinParts = (parts: readonly string[]): string =>
  `${parts.filter((part) => part !== "").join("\n\n")}\n`;

/** A bulleted list. */
export const bullets = (lines: readonly string[]): string => lines.map((line) => `- ${line}`).join("\n");
