import { shown } from "../text/index.js";
import type { Account, AccountTable } from "./account.js";

/** Typographic signs as a terminal and a document take them back: plain minus, no thin spaces. */
const terminal = (text: string): string => text.replaceAll("\u2212", "-").replaceAll("\u202f", "");

/** Text that may hold a user's words: no control characters, not endless. */
const safe = (text: string): string => terminal(shown(text, 2000));

const LEVELS = { danger: "DANGER", caution: "CAUTION", note: "note" } as const;

/** An account for a terminal: verdict first, then what decides, what was found, short tables and what to do next. */
export function toText(account: Account): string {
  const { verdict, figures, findings, steps, stop } = account;
  const brief = account.sections.flatMap(({ tables, text }) => {
    const short = tables.filter((table) => table.brief === true);
    return short.length === 0
      ? []
      : [...short.map(tableText), text.map((line) => `  ${safe(line)}\n`).join("")];
  });
  const parts = [
    `${safe(account.title)}\n`,
    `${verdict.words.toUpperCase()}: ${safe(verdict.sentence)}\n`,
    figures
      .map(({ name, value, interval }) =>
        safe(`  ${name}: ${value}${interval === "" ? "" : ` (${interval})`}`).concat("\n"),
      )
      .join(""),
    findings.map(({ level, text }) => `  ${LEVELS[level]}: ${safe(text)}\n`).join(""),
    ...brief,
    stepLines(steps, stop),
  ];
  return parts.filter((part) => part !== "").join("\n");
}

function stepLines(steps: Account["steps"], stop: string | null): string {
  if (steps.length === 0) return "";
  const lines = steps.map(
    ({ head, text, command }, i) =>
      `  ${i + 1}. ${safe(`${head}. ${text}`)}\n${command === undefined ? "" : `     ${safe(command)}\n`}`,
  );
  return `Next\n${lines.join("")}${stop === null ? "" : `  Stop: ${safe(stop)}\n`}`;
}

/** A table as columns: text left, numbers right. */
function tableText({ caption, columns, rows }: AccountTable): string {
  const head = columns.map(({ name, unit }) => (unit === "" ? name : `${name} [${unit}]`));
  const lines = [head, ...rows.map((row) => row.cells)].map((cells) => cells.map(safe));
  const widths = columns.map((_, c) =>
    lines.reduce((most, cells) => Math.max(most, [...(cells[c] ?? "")].length), 0),
  );
  const cell = (text: string, c: number): string => {
    const blank = " ".repeat((widths[c] ?? 0) - [...text].length);
    return columns[c]?.align === "left" ? text + blank : blank + text;
  };
  const drawn = lines.map((cells) => `  ${cells.map(cell).join("  ").trimEnd()}\n`);
  return `${safe(caption)}\n${drawn.join("")}`;
}
