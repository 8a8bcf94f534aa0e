import type { Account, AccountTable } from "./account.js";

/** Text of the user's as plain Markdown text: nothing in it is taken for markup, and it stays on one line. */
export const escapeMarkdown = (text: string): string =>
  text.replace(/[\r\n\t]+/g, " ").replace(/[\\`*_{}[\]<>#|~!]/g, "\\$&");

const LEVELS = { danger: "Danger", caution: "Decision needed", note: "Note" } as const;

/** An account in Markdown: everything it says but its pictures. */
export function toMarkdown(account: Account): string {
  const { verdict, figures, findings, steps, stop, cautions } = account;
  const bullets = (lines: readonly string[]): string => lines.map((line) => `- ${line}`).join("\n");
  const parts = [
    `# ${escapeMarkdown(account.title)}`,
    `**${verdict.words}.** ${escapeMarkdown(verdict.sentence)}`,
    bullets(
      figures.map(
        ({ name, value, interval, meaning }) =>
          `${escapeMarkdown(name)}: **${escapeMarkdown(value)}**${interval === "" ? "" : ` (${escapeMarkdown(interval)})`}. ${escapeMarkdown(meaning)}`,
      ),
    ),
    findings.length === 0
      ? ""
      : `## What was found\n\n${bullets(findings.map(({ level, text }) => `**${LEVELS[level]}:** ${escapeMarkdown(text)}`))}`,
    ...account.entry.map(tableMarkdown),
    steps.length === 0
      ? ""
      : `## Next steps\n\n${steps
          .map(
            ({ head, text, command }, i) =>
              `${i + 1}. **${escapeMarkdown(head)}.** ${escapeMarkdown(text)}${command === undefined ? "" : ` \`${command.replaceAll("`", "")}\``}`,
          )
          .join("\n")}`,
    stop === null ? "" : `**Stop:** ${escapeMarkdown(stop)}`,
    `## Before you drive\n\n${bullets(cautions.map(escapeMarkdown))}`,
    ...account.sections.flatMap((section) => [
      `## ${escapeMarkdown(section.title)}`,
      ...section.text.map(escapeMarkdown),
      ...section.tables.map(tableMarkdown),
    ]),
  ];
  return `${parts.filter((part) => part !== "").join("\n\n")}\n`;
}

function tableMarkdown({ caption, hint, columns, rows, sums }: AccountTable): string {
  const line = (cells: readonly string[]): string => `| ${cells.join(" | ")} |`;
  const head = columns.map(({ name, unit }) => escapeMarkdown(unit === "" ? name : `${name} (${unit})`));
  const body = rows.map(({ cells }) =>
    cells.map((cell, c) =>
      columns[c]?.strong === true ? `**${escapeMarkdown(cell)}**` : escapeMarkdown(cell),
    ),
  );
  return [
    `### ${escapeMarkdown(caption)}`,
    ...(hint === "" ? [] : [escapeMarkdown(hint)]),
    [
      line(head),
      line(columns.map(({ align }) => (align === "left" ? "---" : "---:"))),
      ...body.map(line),
    ].join("\n"),
    ...(sums === undefined ? [] : [escapeMarkdown(sums)]),
  ].join("\n\n");
}
