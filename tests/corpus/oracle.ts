import { statuses } from "./ambiguity.js";
import type { CorpusFile } from "./file.js";
import type { ReaderResult } from "./reading.js";

/** What a reader without a fault makes of a file: it asks what is open and reads the rest. Used to test the scorer. */
export function oracle(file: CorpusFile): ReaderResult {
  const status = statuses(file);
  const at = file.dialect.columns.map((_, j) => j);
  const role = (j: number) => file.dialect.columns[j]!.role;
  const isExtra = (j: number): boolean => file.truth[j]!.channel === "extra";
  const used = at
    .filter((j) => status[j] !== "ambiguous" && !isExtra(j))
    .map((j) => ({ channel: file.truth[j]!.channel, column: j, values: file.truth[j]!.values }));
  const pace = file.dialect.pace;
  const told = pace?.told
    ? [
        {
          channel: "time" as const,
          column: -1,
          values: Float64Array.from({ length: file.rows }, (_, i) => i * pace.step),
        },
      ]
    : [];
  return {
    rows: file.rows,
    used: [...used, ...told],
    asked: at.filter((j) => status[j] === "ambiguous").map((column) => ({ column, text: "which?" })),
    ignored: at
      .filter((j) => status[j] !== "ambiguous" && isExtra(j) && role(j) === undefined)
      .map((column) => ({ column, text: "no channel of this program" })),
    findings: [],
    drives: file.drives,
  };
}
