import { timeScale } from "./column-units.js";
import { isClock } from "./field.js";
import type { LogTime } from "./mapping.js";
import type { ColumnSample } from "./sample-columns.js";

/** Finds the time column, or says what is in doubt. */
export function judgeTime(columns: readonly ColumnSample[]): {
  readonly time: LogTime | null;
  readonly doubt: string | null;
  readonly evidence: readonly string[];
} {
  const refOf = (column: ColumnSample): string | number =>
    columns.filter(({ name }) => name === column.name).length > 1 ? column.index : column.name;
  const clocks = columns.filter(
    ({ cells }) => cells.length > 0 && cells.filter(isClock).length >= 0.9 * cells.length,
  );
  const rising = columns.filter(({ words, numbers, unit }) => {
    const named = ["time", "timestamp", "seconds", "elapsed", "ms", "stamp"].some((word) =>
      words.includes(word),
    );
    // "Time run with a lamp on" counts time too, but in steps of minutes.
    const runs = words.includes("run") || words.includes("since");
    const up = numbers.filter((value, i) => i > 0 && value < (numbers[i - 1] as number)).length;
    const moves = numbers.length < 2 || numbers.at(-1) !== numbers[0];
    return (
      named &&
      !runs &&
      (unit === null || timeScale(unit) !== undefined) &&
      moves &&
      up <= 0.02 * numbers.length
    );
  });
  const exact = [...clocks, ...rising].filter(({ words }) => words.length === 1 && words[0] === "time");
  const all = [...new Set([...clocks, ...rising])];
  const pick = exact.length === 1 ? exact : all;
  if (pick.length === 0) return { time: null, doubt: "no column looks like time", evidence: [] };
  if (pick.length > 1) {
    return {
      time: null,
      doubt: `several columns look like time: ${pick.map(({ name }) => `"${name}"`).join(", ")}`,
      evidence: [],
    };
  }
  const column = pick[0] as ColumnSample;
  const ref = refOf(column);
  if (clocks.includes(column)) {
    return {
      time: { column: ref, format: "clock" },
      doubt: null,
      evidence: [`column "${column.name}" holds times of day`],
    };
  }
  if (column.unit !== null) {
    return {
      time: { column: ref, unit: column.unit },
      doubt: null,
      evidence: [`column "${column.name}" rises and is in ${column.unit}`],
    };
  }
  return {
    time: null,
    doubt: `column "${column.name}" rises but states no unit of time (s or ms?)`,
    evidence: [],
  };
}
