import type { LogFinding } from "./channel.js";
import type { ScanCounts } from "./scan-plan.js";

/** What a scanner counted, in words; `names` are those of the wanted columns. */
export function countFindings(counts: ScanCounts, names: readonly string[]): readonly LogFinding[] {
  const found: LogFinding[] = [];
  if (counts.rows === 0) {
    found.push({ kind: "noRows", count: 0, message: "the log has no rows of values" });
  }
  if (counts.short > 0) {
    found.push({
      kind: "shortRows",
      count: counts.short,
      line: counts.shortLine,
      message: `${counts.short} rows have fewer cells than the header (first: line ${counts.shortLine})`,
    });
  }
  if (counts.long > 0) {
    found.push({
      kind: "longRows",
      count: counts.long,
      line: counts.longLine,
      message: `${counts.long} rows have more cells than the header (first: line ${counts.longLine}); they are read by place, which is wrong if a cell holds the delimiter`,
    });
  }
  if (counts.quoted > 0) {
    found.push({
      kind: "quotedRows",
      count: counts.quoted,
      line: counts.quotedLine,
      message: `${counts.quoted} rows hold quotes and went through the general reader`,
    });
  }
  if (counts.broken > 0) {
    found.push({
      kind: "brokenQuotes",
      count: counts.broken,
      line: counts.brokenLine,
      message: `${counts.broken} rows have quotes that do not close (first: line ${counts.brokenLine})`,
    });
  }
  if (counts.text > 0) {
    found.push({
      kind: "textRows",
      count: counts.text,
      line: counts.textLine,
      message: `${counts.text} lines among the values hold text (first: line ${counts.textLine}) and are passed over`,
    });
  }
  if (counts.cut > 0) {
    found.push({
      kind: "cutRow",
      count: 1,
      line: counts.cutLine,
      message: `the file ends inside line ${counts.cutLine}; its last cell is not used`,
    });
  }
  names.forEach((column, slot) => {
    const missing = counts.missing[slot] as number;
    const unreadable = counts.unreadable[slot] as number;
    const line = counts.unreadableLine[slot] as number;
    if (missing > 0) {
      found.push({
        kind: "missing",
        column,
        count: missing,
        message: `column "${column}" is empty in ${missing} of ${counts.rows} rows`,
      });
    }
    if (unreadable > 0) {
      found.push({
        kind: "unreadable",
        column,
        count: unreadable,
        line,
        message: `column "${column}" holds no number in ${unreadable} rows (first: line ${line}, "${counts.unreadableText[slot]}")`,
      });
    }
  });
  return found;
}
