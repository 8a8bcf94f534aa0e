import type { ColumnQuestion } from "../columns/index.js";

/** A question with the lines that answer it. */
export function questionText({ text, choices }: Pick<ColumnQuestion, "text" | "choices">): string {
  const lines = choices.flatMap((choice) =>
    choice.paste
      .split("\n")
      .map(
        (line, i) =>
          `      ${line}${i === 0 ? `    # ${choice.text}${choice.fill === true ? " (put your own value)" : ""}` : ""}`,
      ),
  );
  return [`    ${text}`, ...lines].join("\n");
}
